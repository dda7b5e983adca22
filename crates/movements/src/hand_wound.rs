//! A hand-wound watch with small seconds.

use crate::Movement;
use crate::bench::Bench;
use rebuild::{Side, Verdict};

const NAME: &str = "Hand-wound watch with small seconds";
const ABOUT: &str = "A hand-wound wristwatch of the middle of the last century, 13 lines, small \
seconds at six. It came in running 40 seconds a day fast in one flat position and slow in the other. \
The owner's grandfather wore it on a farm.";

/// A hand-wound watch of some sixty parts, taken down from `start_ms` (milliseconds since
/// 1970-01-01 00:00 UTC) on. The dial side was cleared first, then the train side.
#[must_use]
pub fn hand_wound(start_ms: i64) -> Movement {
    let mut bench = Bench::new(NAME, start_ms);
    case(&mut bench);
    dial_side(&mut bench);
    balance_and_fork(&mut bench);
    winding(&mut bench);
    train(&mut bench);
    plate(&mut bench);
    Movement { name: NAME, about: ABOUT, entries: bench.finished() }
}

fn case(bench: &mut Bench) {
    bench.side(Side::Case).tray("case box");
    bench.out("spring-bar").with("spring-bar").sprung().note("Between the lugs, both ends.");
    bench.out("strap").found("cracked", Verdict::Replace);
    bench
        .out("case-back")
        .screws(4, 1.8, "countersunk, steel", "round the rim")
        .note("Scratched inside by earlier hands: two repair marks, 3-71 and 11-88.");
    bench.out("back-gasket").found("flat and hard", Verdict::Replace);
    bench
        .out("case-clamp")
        .with("case-clamp")
        .screws(2, 1.4, "short, large flat head", "over the clamps")
        .note("Stem loosened and drawn, movement out to the front, stem put back in.");
    bench.out("casing-ring").up("step towards the dial");
    bench.named("bezel", "bezel with glass").note("Snapped on; opened at the nick at six.");
    bench.done(
        "let-down-before-balance",
        "By the crown, click held back with pegwood; 5 1/2 turns came back.",
    );
    bench.done("let-down-before-fork-and-train", "The ratchet wheel is slack to and fro.");
}

fn dial_side(bench: &mut Bench) {
    bench.side(Side::Dial).tray("1");
    bench.out("seconds-hand").note("Bushed by hand; goes only on this pivot.");
    bench.out("minute-hand");
    bench.out("hour-hand");
    bench
        .out("dial")
        .screws(2, 1.2, "small, in the edge of the plate", "at one and at seven")
        .found("silvered, print good", Verdict::Keep)
        .note("Not to be washed; no luminous paint.");
    bench.out("dial-washer").up("hollow side down");
    bench.tray("2");
    bench.out("hour-wheel");
    bench.out("minute-wheel").up("pinion up");
    bench.out("cannon-pinion").note("Pulled straight off, grips well.").up("long pipe up");
    bench.tray("3");
    bench
        .out("setting-lever-spring")
        .screws(1, 1.6, "flat head", "middle")
        .screws(1, 1.1, "flat head, shorter", "near the stem")
        .sprung();
    bench.out("setting-wheel-cover").screws(1, 0.9, "tiny, flat head", "beside the stem");
    bench.out("yoke-spring").sprung().up("long arm on the yoke").is(&["flies-off"]);
    bench.out("yoke");
    bench.named("setting-wheel", "setting wheel with hub").up("hub down");
    bench.out("setting-wheel").up("chamfer up");
    bench
        .out("winding-stem")
        .with("crown")
        .note("Crown sits tight on the thread, left on.")
        .found("square a little worn", Verdict::Keep);
    bench.out("setting-lever").with("setting-lever-screw").note("Pin towards the stem's groove.");
    bench.out("sliding-pinion").up("ratchet teeth towards the crown");
    bench.out("winding-pinion").up("ratchet teeth towards the middle");
}

fn balance_and_fork(bench: &mut Bench) {
    bench.side(Side::Train).tray("4");
    bench
        .out("balance-cock")
        .is(&["jewelled", "shock-setting"])
        .screws(1, 3.2, "large flat head, blued", "foot of the cock")
        .note("Lifted with the balance hanging from it.");
    bench.apart("balance-cock");
    bench
        .out("balance-complete")
        .is(&["capped", "shock-setting"])
        .screws(1, 0.8, "tiny, in the side of the stud holder", "stud")
        .note("Boot turned open, stud loosened. Dot on the rim stands near the stud.");
    bench.out("regulator").with("regulator-boot").up("boot down");
    bench.out("stud-carrier");
    bench.tray("5");
    bench.named("shock-spring", "upper shock spring").sprung().is(&["flies-off"]);
    bench.named("cap-jewel", "upper cap jewel").up("flat face towards the pivot");
    bench.named("shock-bush", "upper shock bush").up("cup up");
    bench.side(Side::Train).tray("6");
    bench.out("pallet-cock").is(&["jewelled"]).screws(1, 2.1, "flat head", "middle");
    bench.out("pallet-fork").found("exit stone a little proud of its shellac", Verdict::Clean);
}

fn winding(bench: &mut Bench) {
    bench.tray("7");
    bench
        .out("ratchet-wheel")
        .screws(1, 2.3, "large flat head", "middle of the ratchet wheel")
        .up("polished side up");
    bench
        .out("crown-wheel")
        .left_handed(1.9, "flat head with three slots", "middle of the crown wheel")
        .up("recess down");
    bench.out("crown-wheel-core").up("wide rim down");
    bench.out("click-spring").sprung().is(&["flies-off"]).note("Short leg in the hole.");
    bench.out("click").screws(1, 1.5, "shouldered", "click").up("step down");
}

fn train(bench: &mut Bench) {
    bench.tray("8");
    bench.out("train-bridge").is(&["jewelled"]).screws(2, 2.6, "flat head", "on the rim").screws(
        1,
        1.9,
        "flat head, shorter",
        "beside the balance",
    );
    bench.out("fourth-wheel").is(&["jewelled"]).up("long pivot to the dial side");
    bench.out("escape-wheel").is(&["jewelled"]);
    bench.out("third-wheel").is(&["jewelled"]);
    bench.tray("9");
    bench.out("barrel-bridge").screws(2, 3.0, "flat head", "on the rim").screws(
        1,
        2.2,
        "flat head, shorter",
        "near the middle",
    );
    bench.out("barrel").up("cover towards the plate");
    bench.apart("barrel");
    bench.out("barrel-cover").up("nick beside the hook");
    bench.out("barrel-arbor").up("square away from the cover");
    bench
        .out("mainspring")
        .sprung()
        .found("set: lies in a spiral of barely two barrels' width", Verdict::Replace);
    bench.side(Side::Train).tray("10");
    bench.out("centre-wheel-bridge").is(&["jewelled"]).screws(
        2,
        1.7,
        "flat head, small",
        "beside the centre",
    );
    bench.out("centre-wheel").is(&["jewelled"]).under(&["cannon-pinion"]);
}

fn plate(bench: &mut Bench) {
    bench.tray("11");
    bench.out("main-plate").is(&["jewelled"]).note("Bare. Serial on the plate: 48 213.");
    bench.apart("main-plate").tray("5");
    bench.named("shock-spring", "lower shock spring").sprung().is(&["flies-off"]);
    bench
        .named("cap-jewel", "lower cap jewel")
        .up("flat face towards the pivot")
        .found("dry, with a brown ring", Verdict::Clean);
    bench.named("shock-bush", "lower shock bush").up("cup out");
}
