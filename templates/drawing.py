"""Turns the points and pen widths of our own face, and of the zones on it, into `drawing.typ` and `outlines.typ`: `python3 templates/drawing.py`.

One invariant: every line is drawn here by hand, point by point; nothing is traced and nothing is taken from elsewhere. The
hatch of a zone is cut at its outline here, so that the template only draws lines.
Must not: be needed to build or to run the program (both are committed; tests/pages/pictures.rs holds the two together).

Units: the head is 104 units from crown to chin, x to the right from the middle of the face, y down from the hairline's
top. The patient's right is on the left. The zones show where an area lies, for orientation only; they are no injection points.
"""

import math
import re
from pathlib import Path


def cr(pts, closed=False, t=0.5):
    """Catmull-Rom through points -> list of beziers (p0,c1,c2,p3)"""
    n=len(pts); out=[]
    def P(i):
        if closed: return pts[i%n]
        return pts[max(0,min(n-1,i))]
    segs=n if closed else n-1
    for i in range(segs):
        p0,p1,p2,p3=P(i-1),P(i),P(i+1),P(i+2)
        d1=max(math.dist(p0,p1),1e-6)**.5; d2=max(math.dist(p1,p2),1e-6)**.5; d3=max(math.dist(p2,p3),1e-6)**.5
        def b1():
            if p0==p1: return (p1[0]+(p2[0]-p1[0])/3,p1[1]+(p2[1]-p1[1])/3) if True else None
            return tuple((d1*d1*p2[k]-d2*d2*p0[k]+(2*d1*d1+3*d1*d2+d2*d2)*p1[k])/(3*d1*(d1+d2)) for k in(0,1))
        def b2():
            if p2==p3: return (p2[0]+(p1[0]-p2[0])/3,p2[1]+(p1[1]-p2[1])/3)
            return tuple((d3*d3*p1[k]-d2*d2*p3[k]+(2*d3*d3+3*d3*d2+d2*d2)*p2[k])/(3*d3*(d3+d2)) for k in(0,1))
        out.append((p1,b1(),b2(),p2))
    return out
def bez(b,t):
    u=1-t; return tuple(u**3*b[0][k]+3*u*u*t*b[1][k]+3*u*t*t*b[2][k]+t**3*b[3][k] for k in(0,1))
def sample(bs,n=14):
    pts=[bs[0][0]]
    for b in bs:
        pts+= [bez(b,i/n) for i in range(1,n+1)]
    return pts
f=lambda v: ('%.2f'%v).rstrip('0').rstrip('.') if abs(v)>0.004 else '0'
def path(bs,closed=False):
    s="M%s %s"%(f(bs[0][0][0]),f(bs[0][0][1]))
    for b in bs: s+=" C"+" ".join(f(c) for p in b[1:] for c in p)
    return s+(" Z" if closed else "")
class Sheet:
    def __init__(s): s.items=[]
    def line(s,pts,w=.8,c='ink',closed=False,mirror=False,fill=None):
        for m in ((1,-1) if mirror else (1,)):
            bs=cr([(m*x,y) for x,y in pts],closed)
            s.items.append(('stroke' if fill is None else fill,w,c,path(bs,closed)))
    def taper(s,pts,w0,w1,w2,c='ink',mirror=False,peak=.5):
        """pen stroke: width w0 at the start, w1 at the peak, w2 at the end (units)"""
        for m in ((1,-1) if mirror else (1,)):
            bs=cr([(m*x,y) for x,y in pts]); S=sample(bs,6)
            L=[0]
            for a,b in zip(S,S[1:]): L.append(L[-1]+math.dist(a,b))
            T=[l/L[-1] for l in L]
            def W(t):
                if t<peak: u=t/peak; return w0+(w1-w0)*math.sin(u*math.pi/2)
                u=(t-peak)/(1-peak); return w2+(w1-w2)*math.cos(u*math.pi/2)
            left=[];right=[]
            # keep few nodes
            idx=list(range(0,len(S),3)); 
            if idx[-1]!=len(S)-1: idx.append(len(S)-1)
            for i in idx:
                a=S[max(0,i-1)]; b=S[min(len(S)-1,i+1)]
                d=math.dist(a,b) or 1; nx,ny=-(b[1]-a[1])/d,(b[0]-a[0])/d
                h=W(T[i])/2
                left.append((S[i][0]+nx*h,S[i][1]+ny*h)); right.append((S[i][0]-nx*h,S[i][1]-ny*h))
            l=cr(left); r=cr(right[::-1])
            p=path(l)+" L%s %s "%(f(r[0][0][0]),f(r[0][0][1]))+path(r).split(" ",2)[2]+" Z"
            s.items.append(('fill',0,c,p))
    def shape(s,pts,c='ink',mirror=False,white=False):
        for m in ((1,-1) if mirror else (1,)):
            s.items.append(('white' if white else 'fill',0,c,path(cr([(m*x,y) for x,y in pts],True),True)))
    def raw(s,kind,w,c,p): s.items.append((kind,w,c,p))
    def circle(s,x,y,r,kind='stroke',w=.6,c='ink',mirror=False):
        k=.5523*r
        for m in ((1,-1) if mirror else (1,)):
            X=m*x
            s.items.append((kind,w,c,"M%s %s C%s %s %s %s %s %s C%s %s %s %s %s %s C%s %s %s %s %s %s C%s %s %s %s %s %s Z"%tuple(map(f,(X+r,y,X+r,y+k,X+k,y+r,X,y+r,X-k,y+r,X-r,y+k,X-r,y,X-r,y-k,X-k,y-r,X,y-r,X+k,y-r,X+r,y-k,X+r,y)))))
    def add(s,items): s.items+=items


def front():
    s=Sheet()
    # neck and shoulders
    s.taper([(19.4,91.6),(18.7,99),(18.2,106),(18.9,111.5),(22.5,116.4),(30,120.6),(41,124.6),(52,129.5)],.3,1.25,.4,mirror=True,peak=.5)
    # sternocleidomastoid
    s.taper([(16.9,101.5),(14.2,112),(9.8,123.5),(5.4,131.6)],.15,.7,.5,'soft',mirror=True,peak=.7)
    # collar bones
    s.taper([(4.9,132.6),(8,131.9),(14,132.3),(22,132.2),(30,130.2),(38,128.4),(46,129)],1.0,.95,.15,mirror=True,peak=.25)
    s.taper([(7.6,135.6),(14,136),(22,135.8),(29,134)],.15,.55,.15,'soft',mirror=True)
    s.taper([(-4.9,132.6),(-3,134.6),(0,135.4),(3,134.6),(4.9,132.6)],.8,.6,.8)
    # ears
    s.taper([(31.5,48.6),(32.6,44.8),(35.4,43.2),(38.1,45.2),(38.8,49.6),(37.8,54.8),(36.3,58.6),(35.6,62.4),(34.2,65.8),(31.9,66.6),(30.5,64.2)],.4,.85,.4,mirror=True,peak=.5)
    s.taper([(33.1,48.6),(34.6,46),(36.5,46.6),(36.9,50.2),(35.8,54.8),(34.4,58.2)],.15,.6,.15,'soft',mirror=True)
    s.taper([(33.9,51.4),(33.1,53.6),(33.6,56.2),(32.9,59.4),(34,61)],.15,.55,.15,'soft',mirror=True)
    # face contour: temple to chin
    s.taper([(31.3,42),(31.7,48),(31.6,55),(31.2,62),(30.6,69),(29.9,74.6),(28.7,79.8),(26.2,84.4),(21.6,89.5),(16.2,94.8),(10.6,98.9),(5.2,101.5),(0,102.1)],.45,1.2,1.1,mirror=True,peak=.75)
    # hair outline
    s.taper([(31.9,46),(34.2,38.5),(35.2,29.5),(34,19.5),(30,10.8),(23,3.8),(14,-.4),(5,-2),(0,-2.2)],.45,1.15,1.1,mirror=True,peak=.6)
    # hairline, and hair combed back
    line=[(31.3,44),(30.9,39),(29.7,35),(29.2,30.4),(27.6,25),(23.8,19.6),(17.4,15.6),(9,13.4),(0,12.8)]
    s.taper(line,.4,.62,.5,mirror=True,peak=.5)
    rim=[(32.4,44),(33.8,38.5),(34.7,29.5),(33.5,19.7),(29.5,11.2),(22.6,4.4),(13.8,.3),(5,-1.3),(0,-1.5)]
    L=sample(cr(line),24); R=sample(cr(rim),24); n=len(L)-1
    for k,(u,g0,g1) in enumerate([(.17,.1,.8),(.27,0,.95),(.37,.12,.78),(.47,0,.9),(.56,.16,.8),(.645,0,.7),(.73,.1,.86),(.81,0,.62),(.885,.14,.84),(.96,0,.66)]):
        i=int(u*n); j=min(n,max(0,int((u+.045*(1-u))*n)))
        (x,y),(X,Y)=L[i],R[j]
        bow=2.6*(x/30)
        q=lambda g:(x+(X-x)*g+bow*4*g*(1-g)*.55,y+(Y-y)*g-bow*4*g*(1-g)*.25+ (1-x/30)*0)
        s.taper([q(g0+(g1-g0)*w) for w in (0,.33,.67,1)],.08,.5,.08,'soft',mirror=True,peak=.4)
    # brows
    s.shape([(6.7,43.9),(6.7,42.7),(8.2,42.2),(12.4,41),(17.2,40.3),(21.2,41.4),(24.6,44.6),(20.9,42.5),(17,41.7),(12.6,42.4),(8.6,43.6)],mirror=True)
    # eyes
    s.taper([(6.9,51.9),(8.2,50.7),(10.4,48.9),(13.6,47.8),(16.8,48.2),(19.4,49.7),(21.3,50.9)],.25,1.3,.35,mirror=True,peak=.6)
    s.taper([(6.9,51.9),(8.6,52.4),(11,53.2),(13.9,53.6),(17,52.9),(19.9,51)],.2,.6,.3,mirror=True,peak=.6)
    s.taper([(7.7,48.7),(10.2,46.3),(13.6,45.2),(17.2,45.7),(20.6,47.9)],.12,.6,.12,'soft',mirror=True)
    for m in (1,-1):
        c=m*13.8; it=Sheet()
        it.line([(c-2.9,48.6),(c-3.15,50.2),(c-2.45,52.3),(c,53.5),(c+2.45,52.3),(c+3.15,50.2),(c+2.9,48.6)],.6)
        # pupil with a small light, the same side in both eyes
        it.shape([(c-1.65,50.3),(c-1.2,51.55),(c,52),(c+1.2,51.55),(c+1.65,50.3),(c+1.2,49.1),(c,48.6),(c-1.2,49.1)])
        it.circle(c+.75,49.2,.55,'white')
        s.add(it.items)
    # nose
    s.taper([(6.6,46.8),(5,50.4),(4.2,55)],.12,.55,.1,'soft',mirror=True)
    s.taper([(6.3,61.2),(8.1,63.2),(8.5,65.8),(7.5,67.7),(6.2,67.6)],.12,.8,.35,mirror=True,peak=.6)
    s.taper([(6.1,67.8),(5,67.1),(3.6,67.2),(2.7,68.2)],.35,1.05,.2,mirror=True,peak=.45)
    s.taper([(2.8,68.1),(1.5,69.2),(0,69.6)],.2,.65,.6,mirror=True,peak=.9)
    s.taper([(3.1,61.8),(4.2,63.6),(3.9,65.2)],.1,.4,.1,'soft',mirror=True)
    # philtrum
    s.taper([(1.5,71.4),(1.9,73.2)],.1,.45,.1,'soft',mirror=True)
    # mouth
    s.taper([(11.7,77.2),(9.6,77.4),(6.6,77.2),(3.4,77),(1.4,77.4),(0,77.7)],.45,.8,.85,mirror=True,peak=.5)
    s.taper([(11,77),(7.4,75.4),(3.8,73.7),(1.8,73.5),(0,74.4)],.12,.6,.5,mirror=True,peak=.7)
    s.taper([(9.2,79.4),(6.4,81.6),(3.2,82.8),(0,83.1)],.1,.6,.75,mirror=True,peak=.9)
    s.taper([(5,87),(2.6,86.3),(0,86.1),(-2.6,86.3),(-5,87)],.1,.6,.1,'soft')
    return s


def curve(paths):
    """Paths of M, L, C, Z as the code that draws them in one curve, a point for a unit: read by the typesetter without any work."""
    out=[]
    for one in paths:
        for letter,rest in re.findall("([MLCZ])([^MLCZ]*)",one):
            numbers=rest.split()
            points=[f"({x}pt, {y}pt)" for x,y in zip(numbers[::2],numbers[1::2])]
            if letter=="M": out.append(f"curve.move({points[0]})")
            elif letter=="L": out+=[f"curve.line({to})" for to in points]
            elif letter=="C": out+=[f"curve.cubic({', '.join(points[i:i+3])})" for i in range(0,len(points),3)]
            else: out.append('curve.close(mode: "straight")')
    return f"curve({', '.join(out)})" if out else "none"


def layers_of(sheet):
    """The four layers of the face, from the lowest to the highest, as strings of M, L, C, Z."""
    layers = {
        "shade": [i[3] for i in sheet.items if i[0] == "fill" and i[2] == "soft"],
        "thin": [i[3] for i in sheet.items if i[0] == "stroke"],
        "line": [i[3] for i in sheet.items if i[0] == "fill" and i[2] == "ink"],
        "light": [i[3] for i in sheet.items if i[0] == "white"],
    }
    assert sum(map(len, layers.values())) == len(sheet.items)
    return layers


def typst(name, sheet):
    out = [f"#let {name} = ("]
    for layer, paths in layers_of(sheet).items():
        out += [f"  {layer}: ("] + [f'    "{one}",' for one in paths] + ["  ),"]
    return "\n".join(out + [")"])


# Every zone: its outlines, each a list of points with the points of a hole or None, and the angle of its hatch. "side" is drawn
# on the patient's left and turned over for the right; "midline" and "both" reach over the middle. Neighbours have other angles.
ZONES = {
    "brows": {"angle": 90, "midline": [([(-18,38.6),(-16.5,36.4),(-9,36.9),(0,37.6),(9,36.9),(16.5,36.4),(18,38.6),(11.5,40.1),(6.2,41.7),(4.9,45),(4,49.2),(0,50.8),(-4,49.2),(-4.9,45),(-6.2,41.7),(-11.5,40.1)],None)]},
    "forehead": {"angle": 0,
        "both": [([(-25.6,25.5),(-20,20.6),(-10,18),(0,17.4),(10,18),(20,20.6),(25.6,25.5),(26.8,30.6),(21,32.4),(10,32.7),(0,33.2),(-10,32.7),(-21,32.4),(-26.8,30.6)],None)],
        "side": [([(1.4,17.9),(10,18),(20,20.6),(25.6,25.5),(26.8,30.6),(21,32.4),(10,32.7),(1.4,32.7),(.8,28),(.8,22.6)],None)]},
    "crows-feet": {"angle": 45, "side": [([(24.9,44.4),(28.2,43.4),(30.2,46),(30.6,51.5),(30,57),(27,59.2),(23.6,57.2),(24.2,54.4),(25.2,51.2),(25.4,47.6)],None)]},
    "nose-sides": {"angle": 135, "side": [([(3.3,50.6),(5.6,51.8),(8,55.2),(8,58.6),(5.6,59.6),(3.4,58),(2.7,54)],None)]},
    "nose-wings": {"angle": 45, "side": [([(9.9,60.6),(12.2,62.4),(13.6,66.4),(13.2,70.6),(10.6,72.2),(9.6,69.4),(10.2,65.6),(9.2,62.2)],None)]},
    "nose-tip": {"angle": 90, "midline": [([(-4.2,70.3),(0,70.9),(4.2,70.3),(4.9,71.6),(2.6,72.6),(0,73.3),(-2.6,72.6),(-4.9,71.6)],None)]},
    "lips": {"angle": 45, "both": [(
        [(0,71.1),(3,70.6),(7.4,71.8),(12,74),(15.2,77.4),(12.8,81.6),(8.6,85.2),(3.6,86.9),(0,87.2),(-3.6,86.9),(-8.6,85.2),(-12.8,81.6),(-15.2,77.4),(-12,74),(-7.4,71.8),(-3,70.6)],
        [(11.9,77.2),(7.4,75.2),(3.8,73.4),(1.8,73.2),(0,74.1),(-1.8,73.2),(-3.8,73.4),(-7.4,75.2),(-11.9,77.2),(-9.3,79.6),(-6.4,81.9),(-3.2,83.2),(0,83.5),(3.2,83.2),(6.4,81.9),(9.3,79.6)])]},
    "mouth-corners": {"angle": 135, "side": [([(15.2,80.6),(17.6,81.4),(20.2,86),(20.3,89.6),(17.2,92),(14.6,92.2),(14.4,88),(14.9,84)],None)]},
    "lower-lip": {"angle": 45, "side": [([(5.8,88.2),(9.4,86.5),(12.6,84.3),(13.6,88.2),(12.8,92.8),(10.4,96.2),(7.7,95.2),(6.7,91.6)],None)]},
    "chin": {"angle": 0, "midline": [([(-5.2,89.6),(0,88.8),(5.2,89.6),(6,92.6),(6.8,96),(4,98.9),(0,99.6),(-4,98.9),(-6.8,96),(-6,92.6)],None)]},
    "jaw": {"angle": 135, "side": [([(22.2,66.8),(25.8,65.2),(29.6,65.4),(29.4,71.5),(28.2,77.6),(25.6,82.8),(22,86),(20.2,82.6),(20.4,76.6),(21.2,71.2)],None)]},
    "neck": {"angle": 90, "side": [
        ([(5.6,105.2),(7.4,104.8),(8,106.4),(7.2,114),(6,121.6),(4.4,126.4),(3,126.6),(2.9,124.8),(4,119.6),(4.9,112.6),(5.1,107)],None),
        ([(12.4,102.2),(14,101.2),(15,102.6),(13.8,108.6),(11.8,115),(10.2,118),(8.9,117.8),(9.1,116),(10.8,110.6),(11.9,105)],None)]},
}
# Units from line to line of the hatch, for a small and for a large drawing.
HATCHES = {"wide": 2.0, "close": 1.35}


def hatch(rings, angle, gap):
    """Lines at an angle, `gap` apart, cut at closed rings of points: what lies inside an odd number of them stays.

    All zones share one grid, so that their lines never look shifted. What is hardly longer than it is wide is left out.
    """
    a=math.radians(angle); along=(math.cos(a),math.sin(a)); across=(-math.sin(a),math.cos(a))
    points=[p for ring in rings for p in ring]
    offsets=[p[0]*across[0]+p[1]*across[1] for p in points]
    lines=[]
    for k in range(math.floor(min(offsets)/gap),math.ceil(max(offsets)/gap)+1):
        cuts=[]
        for ring in rings:
            for p,q in zip(ring,ring[1:]+ring[:1]):
                # how far each end lies beside the line; an end on it counts to one side, so that no corner is met twice
                d,e=(v[0]*across[0]+v[1]*across[1]-k*gap for v in (p,q))
                if (d<0)!=(e<0):
                    t=d/(d-e)
                    cuts.append(sum((p[c]+(q[c]-p[c])*t)*along[c] for c in (0,1)))
        cuts.sort()
        for start,end in zip(cuts[::2],cuts[1::2]):
            if end-start>=gap*.35:
                lines.append("M%s %s L%s %s"%tuple(f(t*along[c]+k*gap*across[c]) for t in (start,end) for c in (0,1)))
    return lines


def piece(outlines, angle, turned):
    """One piece of a zone: the paths of its outlines, and its hatch in each density."""
    over=lambda points: [(-x,y) for x,y in points] if turned else points
    beziers=[cr(over(points),True) for pair in outlines for points in pair if points]
    rings=[sample(one,10)[:-1] for one in beziers]
    angle=(180-angle)%180 if turned else angle
    return {"outline": [path(one,True) for one in beziers]}|{name: hatch(rings,angle,gap) for name,gap in HATCHES.items()}


def pieces_of(zone):
    """The pieces of a zone by side."""
    pieces={side: (zone[side],False) for side in ("midline","both") if side in zone}
    if "side" in zone:
        pieces|={"left": (zone["side"],False), "right": (zone["side"],True)}
    return {side: piece(outlines,zone["angle"],turned) for side,(outlines,turned) in pieces.items()}


def zones():
    out=["// Each piece of a zone: its outline, and its hatch for a small (wide) and a large (close) drawing.", "#let zones = ("]
    for name,zone in ZONES.items():
        out.append(f'  "{name}": (')
        for side,drawn in pieces_of(zone).items():
            out.append(f"    {side}: (")
            out+=[f"      {key}: ("+" ".join(f'"{one}",' for one in paths)+")," for key,paths in drawn.items()]
            out.append("    ),")
        out.append("  ),")
    return "\n".join(out+[")"])


def code(sheet):
    """The same as code; a zone is worked out only where it is asked for."""
    out=[f"#let {layer} = {curve(paths)}" for layer,paths in layers_of(sheet).items()]
    out+=["", "// Each piece of a zone, worked out when it is drawn: its outlines one by one, because each is a line of its own.", "#let zones = ("]
    for name,zone in ZONES.items():
        out.append(f'  "{name}": (')
        for side,drawn in pieces_of(zone).items():
            outline="".join(curve([one])+", " for one in drawn["outline"])
            hatches="".join(f", {key}: () => {curve(drawn[key])}" for key in HATCHES)
            out.append(f"    {side}: (outline: () => ({outline}){hatches}),")
        out.append("  ),")
    return "\n".join(out+[")"])


HEADER = """\
// Our own drawing of a face and neck, and of the zones on it, as outlines: written by drawing.py, do not edit.
// One invariant: only lines of the face and of every zone; nothing here depends on a plan.
// Must not: hold words or colours.
"""

CODE = """\
// The same drawing as in drawing.typ, as the curves that the typesetter draws: written by drawing.py, do not edit.
// One invariant: a point for a unit; nothing here depends on a document, so that a process works it out once for all its papers.
// Must not: hold words or colours.
"""

if __name__ == "__main__":
    text = HEADER + "\n" + typst("front", front()) + "\n\n" + zones() + "\n"
    Path(__file__).with_name("drawing.typ").write_text(text, "utf-8")
    Path(__file__).with_name("outlines.typ").write_text(CODE + "\n" + code(front()) + "\n", "utf-8")
