//! scratch
#[test]
fn dump() {
    use beforehand::*;
    let read = |p: &str| std::fs::read(p).unwrap();
    let voc = papers::vocabulary(catalogue::Catalogue::embedded());
    let src = diagnose::SourceFile::from_bytes("c", &read("samples/linden-court/clinic.toml"), diagnose::Format::Toml).unwrap();
    let clinic = plan::read_clinic(&src, &voc).unwrap();
    let src = diagnose::SourceFile::from_bytes("p", &read("samples/linden-court/news-reader.toml"), diagnose::Format::Toml).unwrap();
    let visit = plan::read_plan(&src, &voc, Some(&clinic)).unwrap();
    let p = papers::make(catalogue::Catalogue::embedded(), &clinic, &visit, &wording::Approvals::none(), &typeset::Typesetter::embedded()).unwrap();
    for m in &p.made { for s in m.pages.geometry().stretches { println!("{} {:.0}-{:.0} {:.0} {} {:.2} {} {} {:?} {:?}", s.page, s.left, s.right, s.baseline, s.size, s.x_height, s.bold, s.furniture, s.inside, s.text); } 
     for s in m.pages.geometry().shapes { println!("{s:?}"); } }
}
