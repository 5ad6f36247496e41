use staffage_picture::*;
#[test]
fn one() {
    let p = std::path::PathBuf::from(std::env::var("ONE").unwrap());
    println!("{:?}", probe(&p));
    println!(
        "{:?}",
        decode(&p, &Limits { max_pixels: 1 << 16, max_bytes: 1 << 22 }, &Progress::default())
            .map(|p| p.size())
    );
}
