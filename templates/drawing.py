"""Turns the points and pen widths of our own face into the outlines in `drawing.typ`: `python3 templates/drawing.py`.

One invariant: every line is drawn here by hand, point by point; nothing is traced and nothing is taken from elsewhere.
Must not: be needed to build or to run the program (`drawing.typ` is committed; tests/pages/pictures.rs holds the two together).

Units: the head is 101 units from crown to chin, x to the right from the middle of the face, y down from the hairline's
top. Printed at 0.45 mm a unit. Front view: the patient's right is on the left. View "profile": a half profile, the head
turned to the right of the paper, so that the patient's right side is near; the template mirrors it for the left.
"""

import math
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
    s.taper([(31.3,42),(31.7,48),(31.5,55),(30.9,62),(29.8,70),(28.3,76.4),(25.6,82.8),(20.8,89.7),(15.4,95.3),(10,99.3),(5,101.5),(0,102.1)],.45,1.2,1.1,mirror=True,peak=.75)
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


def side():
    """half profile: the front view turned by about 40 degrees, looking to the right; the far contour near x=31"""
    s=Sheet()
    # far contour: forehead, brow, socket, cheekbone, cheek, chin; then the near jaw back to the ear
    s.taper([(29.4,20.6),(30.9,27),(31.5,33.4),(31.3,38.6),(30.3,43),(29.4,46.8),(29.4,50),(30.3,54),(30.9,58.2),(30.5,63),(29,68.8),(27,74.2),(25.6,79),(24.9,83.4),(24.9,87.2),(24.4,91.2),(22.8,95.6),(19.8,99.3),(16,101.5),(12,102)],.6,1.2,1.1,peak=.6)
    s.taper([(12,102),(7.4,100.8),(1.8,98.2),(-4.6,94.4),(-10.6,89.8),(-15,84.6),(-17.8,78.6),(-19.3,72.6),(-19.9,67.2)],1.1,1.1,.3,peak=.3)
    # near ear
    s.taper([(-20.1,54.4),(-19.8,50.6),(-20.5,46.4),(-22.9,43.6),(-26.1,43.4),(-28.7,46),(-29.4,50.2),(-28.5,54.8),(-26.7,58.6),(-25.4,62.2),(-23.8,65.6),(-21.8,66.3),(-20.6,64.4),(-20.4,61.2),(-20,59)],.4,.95,.35)
    s.taper([(-21.3,49.6),(-22.9,46.4),(-25.5,45.9),(-27.3,48.4),(-27.4,52),(-26,56),(-24.8,59.4)],.12,.55,.12,'soft')
    s.taper([(-22.5,50.8),(-24.1,49.6),(-25.5,51.4),(-24.9,54.4),(-23.6,57.2),(-23.7,60),(-22.2,60.6),(-21.5,58.8)],.1,.5,.1,'soft')
    s.taper([(-20.1,54.4),(-21.4,55.6),(-21.2,57.6),(-20,59)],.3,.5,.3)
    # hair outline
    s.taper([(29.4,20.6),(28.6,15.2),(25.6,9.4),(20.4,4),(13,.1),(4,-2),(-6,-2),(-16,.6),(-25,6.2),(-31.8,14.6),(-35.6,25),(-36.5,36),(-35.4,46.6),(-33.2,55.6),(-30.6,63),(-28,69.4)],.5,1.2,.4,peak=.55)
    # hairline, and hair combed back
    line=[(-20.2,52.4),(-19.7,47.4),(-19.3,43),(-18.2,38.8),(-16,35),(-13.3,32),(-11.3,28.4),(-9.5,23.6),(-5.4,18.9),(-.2,15.6),(6.4,13.5),(13.8,12.8),(20.4,13.8),(25.8,16.6),(29.4,20.6)]
    s.taper(line,.25,.62,.5,peak=.5)
    s.taper([(-26.6,60.8),(-26.4,64),(-26.9,67),(-28,69.4)],.2,.55,.2)
    s.taper([(-32.2,48.4),(-31.9,53.6),(-30.2,59.4)],.08,.5,.08,'soft')
    H=sample(cr(line[2:12][::-1]),24)
    G=[[(6,4.6),(-6,1),(-20,5.8),(-28.6,14)],[(-16.2,19.4),(-23.6,19.6),(-30.2,26.6),(-32.8,38)],[(-21.6,40.9),(-25,39.4),(-29.6,41.2),(-32,47.6)]]
    for u,g0,g1 in [(.04,0,.46),(.04,.58,.92),(.17,.05,.66),(.3,0,.42),(.3,.53,.96),(.43,.08,.74),(.56,0,.48),(.56,.6,.97),(.69,.06,.72),(.81,0,.5),(.81,.64,.96),(.92,.06,.8)]:
        a,b,v=(G[0],G[1],u*2) if u<.5 else (G[1],G[2],u*2-1)
        S=sample(cr([H[int(u*(len(H)-1))]]+[tuple(p[c]*(1-v)+q[c]*v for c in(0,1)) for p,q in zip(a,b)]),20); m=len(S)-1
        s.taper([S[int(m*(g0+(g1-g0)*w/6))] for w in range(7)],.08,.5,.08,'soft',peak=.45)
    for p in ([(17.4,12.3),(14.6,7.4),(11,3.4)],[(20.6,13),(18.8,8.4),(16.6,5.4)],[(23.6,14.2),(22.4,9.8),(20.4,6.4)],[(26.2,16),(25.4,12.6),(24.2,10)]):
        s.taper(p,.08,.5,.08,'soft',peak=.4)
    # brows
    s.shape([(13.4,43.9),(13.3,42.7),(11.8,42.1),(7.2,40.9),(2,40.3),(-2.8,41.6),(-6.6,45),(-2.4,42.8),(2.2,41.7),(7,42.3),(11.2,43.6)])
    s.shape([(21,43.7),(21,42.6),(22,42),(24.8,40.8),(27.8,40.2),(30.3,41),(30.3,41.6),(27.8,41.4),(25,42.1),(22.4,43.4)])
    # near eye
    s.taper([(11.4,51.9),(10.5,50.7),(8.9,48.9),(6.2,47.8),(2.6,48.2),(-0.8,49.8),(-3.4,51.1)],.25,1.3,.35,peak=.55)
    s.taper([(11.4,51.9),(9.8,52.5),(7.6,53.3),(4.8,53.6),(1.6,52.9),(-1.8,51.1)],.2,.6,.3,peak=.6)
    s.taper([(10.9,48.6),(8.8,46.2),(5.6,45.2),(1.8,45.8),(-2.2,48)],.12,.6,.12,'soft')
    # far eye
    s.taper([(20.8,51.7),(21.3,50.5),(22.4,48.8),(24.2,47.8),(26,48.4),(27.6,50)],.2,1.2,.3,peak=.6)
    s.taper([(20.8,51.7),(22.2,52.6),(24.2,53.4),(26,52.6),(27.2,50.6)],.15,.55,.2,peak=.6)
    s.taper([(21.3,48),(22.6,46.1),(24.6,45.2),(27.2,46.6)],.12,.55,.12,'soft')
    for c,r,d in ((6.2,2.85,0),(24.3,2.05,-.1)):
        it=Sheet(); k=r/3.15
        it.line([(c-2.9*k,48.6+d),(c-3.15*k,50.2),(c-2.45*k,52.3),(c,53.4+d),(c+2.45*k,52.3),(c+3.15*k,50.2),(c+2.9*k,48.6+d)],.6)
        it.shape([(c+x*k,y) for x,y in ((-1.65,50.3),(-1.2,51.55),(0,52),(1.2,51.55),(1.65,50.3),(1.2,49.1),(0,48.6),(-1.2,49.1))])
        it.circle(c+.75*k,49.2,.55*k,'white')
        s.add(it.items)
    # nose
    s.taper([(19.9,45),(19.2,47.8),(19.6,50.8),(21,54.8),(23.2,59),(25.2,62.2),(26,64.3),(25.7,66.2),(24.6,67.5)],.15,1,.3,peak=.75)
    s.taper([(14.3,61.2),(12.6,63.2),(12.1,65.8),(13,67.7),(14.4,67.6)],.12,.8,.35,peak=.6)
    s.taper([(14.4,67.8),(15.6,67.1),(17.2,67.2),(18.3,68.3)],.35,1.05,.2,peak=.45)
    s.taper([(18.2,68.2),(19.6,69.2),(21.2,69.4),(22.8,68.8),(24.7,67.4)],.2,.65,.3,peak=.5)
    s.taper([(22.4,62),(21.6,64),(22,65.6)],.1,.4,.1,'soft')
    # philtrum
    s.taper([(18.8,71.2),(18.6,73)],.1,.45,.1,'soft')
    s.taper([(21,71.2),(21.2,72.8)],.1,.4,.1,'soft')
    # mouth
    s.taper([(6.2,77.2),(8,77.4),(11.2,77.2),(15,77),(17.8,77.4),(19.5,77.8),(20.8,77.4),(23.1,77.2)],.45,.9,.4,peak=.6)
    s.taper([(6.8,77),(10.8,75.4),(15.2,73.7),(17.6,73.4),(19.4,74.4),(20.6,73.7),(21.7,74.7),(22.9,76.9)],.12,.65,.12,peak=.6)
    s.taper([(8.8,79.4),(11.8,81.6),(15.4,82.9),(18.8,83.1),(21.2,81.7),(22.5,79.4)],.1,.75,.1,peak=.65)
    s.taper([(13.6,87),(16.2,86.2),(18.6,86.1),(21.2,86.8)],.1,.6,.1,'soft')
    # neck and shoulders: near, then far
    s.taper([(-28,69.4),(-25.2,76),(-22.9,83.6),(-21.6,92),(-21.4,100.6),(-22.8,107.6),(-26.6,113.8),(-32.8,119),(-41.4,123.4)],.3,1.2,.35)
    s.taper([(12.3,103),(11.6,107.6),(11.5,114),(11.9,120.4),(11.6,126.6),(10.5,132)],.3,1.1,.5)
    s.taper([(12.9,118.2),(17,121.2),(23,124),(29.4,126.6),(35,129.8)],.2,1,.3)
    # sternocleidomastoid
    s.taper([(-19.6,83),(-16.8,95),(-11.2,109),(-4.2,122.4),(2.8,131.6)],.12,.75,.45,'soft',peak=.7)
    s.taper([(-18.6,98),(-16.6,109),(-13,120),(-8.8,128.6)],.08,.5,.1,'soft')
    # collar bones
    s.taper([(3.2,132.6),(-.6,131.8),(-6,132.3),(-14,132),(-22,130),(-30.6,127.8),(-38.6,128.2)],1.0,.95,.15,peak=.25)
    s.taper([(0,135.6),(-6,136),(-14,135.6),(-21,133.6)],.15,.55,.15,'soft')
    s.taper([(3.2,132.6),(4.8,134.6),(7,135.3),(9.2,134.5),(10.6,132.6)],.8,.6,.8)
    s.taper([(10.6,132.6),(13.2,131.8),(16.4,132.2),(20.4,131.6),(24.4,129.8),(29,129.6)],.9,.85,.15,peak=.25)
    return s


def typst(name, sheet):
    """The four layers of one view, from the lowest to the highest, as strings of M, L, C, Z."""
    layers = {
        "shade": [i for i in sheet.items if i[0] == "fill" and i[2] == "soft"],
        "thin": [i for i in sheet.items if i[0] == "stroke"],
        "line": [i for i in sheet.items if i[0] == "fill" and i[2] == "ink"],
        "light": [i for i in sheet.items if i[0] == "white"],
    }
    assert sum(map(len, layers.values())) == len(sheet.items)
    out = [f"#let {name} = ("]
    for layer, items in layers.items():
        out += [f"  {layer}: ("] + [f'    "{item[3]}",' for item in items] + ["  ),"]
    return "\n".join(out + [")"])


HEADER = """\
// Our own drawing of a face and neck, as outlines: written by drawing.py, do not edit.
// One invariant: only lines of the face; nothing here depends on a plan.
// Must not: hold words or colours.
"""

if __name__ == "__main__":
    text = HEADER + "\n" + typst("front", front()) + "\n\n" + typst("profile", side()) + "\n"
    Path(__file__).with_name("drawing.typ").write_text(text, "utf-8")
