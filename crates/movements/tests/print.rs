mod follow;
use follow::{Story, all};
#[test]
fn print() {
    for m in all() {
        let s = Story::of(m.take_down());
        println!("=== {}", m.name());
        for (n, l) in s.plan().iter().enumerate() { println!("{n} {l}"); }
    }
}
