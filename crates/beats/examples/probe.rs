//! temporary
fn main() {
    for p in std::env::args().skip(1) {
        let b = std::fs::read(&p).unwrap();
        let ch = u16::from_le_bytes([b[22], b[23]]) as usize;
        let rate = u32::from_le_bytes([b[24], b[25], b[26], b[27]]);
        let pos = b.windows(4).position(|w| w == b"data").unwrap() + 8;
        let x: Vec<f32> = b[pos..]
            .chunks_exact(2 * ch)
            .map(|c| i16::from_le_bytes([c[0], c[1]]) as f32 / 32768.0)
            .collect();
        println!("{p} {ch} ch {rate} Hz");
        beats::probe(&x, rate as f64);
    }
}
