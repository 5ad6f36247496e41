use proptest::prelude::*;
use proptest::sample::{Index, select};
use staffage_picture::*;
fn seeds() -> Vec<Vec<u8>> {
    std::fs::read_dir("/tmp/seeds")
        .unwrap()
        .map(|e| std::fs::read(e.unwrap().path()).unwrap())
        .collect()
}
#[test]
fn all() {
    for e in std::fs::read_dir("/tmp/seeds").unwrap() {
        let p = e.unwrap().path();
        match decode(&p, &Limits::default(), &Progress::default()) {
            Ok(x) => println!("{} ok {} {:?}", p.display(), x.size(), x.channels()),
            Err(e) => println!("{e}"),
        }
    }
}
#[test]
fn halves() {
    for e in std::fs::read_dir("/tmp/seeds").unwrap() {
        let p = e.unwrap().path();
        let b = std::fs::read(&p).unwrap();
        let q = std::path::Path::new("/tmp/")
            .join(format!("half_{}", p.file_name().unwrap().to_str().unwrap()));
        std::fs::write(&q, &b[..b.len() / 2]).unwrap();
        match decode(&q, &Limits::default(), &Progress::default()) {
            Ok(x) => println!("{} HALF OK {} {:?}", p.display(), x.size(), x.channels()),
            Err(e) => println!("{e}"),
        };
        std::fs::remove_file(q).unwrap();
    }
}
proptest! {
#[test] fn spoil(mut bytes in select(seeds()), changes in prop::collection::vec((any::<Index>(), prop_oneof![any::<u8>(),Just(0u8),Just(255u8)]),0..8), early in any::<bool>(), cut in prop::option::of(any::<Index>())){
 for (at,b) in changes { let n=if early {bytes.len().min(120)} else {bytes.len()}; let at=at.index(n); bytes[at]=b; }
 if let Some(c)=cut { bytes.truncate(c.index(bytes.len())); }
 let f=tempfile::tempdir()?; let p=f.path().join("a.tga"); std::fs::write(&p,&bytes)?;
 let _=probe(&p);
 let t=std::time::Instant::now();
 let r=Picture::load(&p,&Limits{max_pixels:1<<16,max_bytes:1<<22},64,&Progress::default());
 if t.elapsed().as_secs_f64()>0.5 { eprintln!("SLOW {:?} {:?}",t.elapsed(),r.map(|p|p.size())); }
}}
