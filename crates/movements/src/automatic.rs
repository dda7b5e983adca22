//! A self-winding watch with centre seconds and a date.

use crate::Movement;
use crate::bench::Bench;
use rebuild::{Side, Verdict};

const NAME: &str = "Self-winding watch with date";
const ABOUT: &str = "A self-winding wristwatch of the nineteen-seventies with centre seconds, quick-set \
date and a screwed back. It stops overnight, and the rotor scrapes. Last opened twelve years ago, by \
the mark in the back.";

/// A self-winding watch with a date, of some ninety parts, taken down from `start_ms` (milliseconds
/// since 1970-01-01 00:00 UTC) on. The self-winding work comes off as one piece and is taken apart in
/// hand.
#[must_use]
pub fn automatic(start_ms: i64) -> Movement {
    let mut bench = Bench::new(NAME, start_ms);
    case(&mut bench);
    self_winding(&mut bench);
    hands_and_dial(&mut bench);
    date(&mut bench);
    setting(&mut bench);
    balance_and_fork(&mut bench);
    winding(&mut bench);
    train(&mut bench);
    plate(&mut bench);
    bench.first(
        "hour-wheel",
        "automatic-bridge",
        "Self-winding work last: with it on, the centre seconds pivot cannot be supported.",
    );
    bench.first("seconds-hand", "automatic-bridge", "As before.");
    Movement { name: NAME, about: ABOUT, entries: bench.finished() }
}

fn case(bench: &mut Bench) {
    bench.side(Side::Case).tray("case box");
    bench.out("spring-bar").with("spring-bar").sprung().note("Between the lugs, both ends.");
    bench.out("bracelet").found("one link loose", Verdict::Repair);
    bench.out("case-back").up("mark 7-14 stands at twelve").note("Screwed, six notches.");
    bench.out("back-gasket").found("pressed flat, one crack", Verdict::Replace);
    bench
        .out("case-clamp")
        .with("case-clamp")
        .screws(2, 1.3, "large flat head", "over the clamps")
        .note("Setting lever pushed, stem drawn, movement out to the back, stem put back in.");
    bench.out("casing-ring").up("lip towards the dial");
    bench.out("inner-flange").up("printed side up");
    bench.out("glass-gasket").found("yellow", Verdict::Replace).up("bevel towards the glass");
    bench.out("glass").up("bevel outside").note("Pressed out; a deep scratch near four.");
}

fn self_winding(bench: &mut Bench) {
    bench.side(Side::Train).tray("1");
    bench
        .out("rotor")
        .screws(1, 2.8, "large, two slots beside the middle", "middle of the rotor")
        .found("rub marks on the rim: bearing worn", Verdict::Keep)
        .up("lettering up");
    bench.apart("rotor");
    bench.out("rotor-pinion").up("long teeth down");
    bench.out("rotor-bearing").found("dry and rough", Verdict::Replace).up("flange down");
    bench.side(Side::Train).tray("2");
    bench
        .out("automatic-bridge")
        .is(&["jewelled"])
        .screws(2, 3.4, "flat head, nickelled", "on the rim")
        .screws(1, 2.4, "flat head, blued", "beside the balance")
        .note("Whole self-winding work comes off with it.");
    bench.apart("automatic-bridge");
    bench.out("automatic-lower-bridge").is(&["jewelled"]).screws(
        3,
        1.2,
        "tiny, flat head",
        "three in a triangle",
    );
    bench
        .named("reverser-wheel", "reverser, side of the rotor")
        .is(&["look-alike"])
        .up("pinion up");
    bench
        .named("reverser-wheel", "reverser, side of the train")
        .is(&["look-alike"])
        .up("pinion down")
        .found("sluggish, slips in one sense", Verdict::Clean);
    bench.out("reduction-wheel").is(&["jewelled"]).up("pinion down");
    bench.out("ratchet-driving-wheel").is(&["jewelled"]).up("pinion down");
    bench.out("automatic-click-spring").sprung().is(&["flies-off"]);
    bench.out("automatic-click");
    bench.done(
        "let-down-before-balance",
        "By the click, ratchet screw held with a driver; six turns came back.",
    );
    bench.done("let-down-before-fork-and-train", "The ratchet wheel is slack to and fro.");
}

fn hands_and_dial(bench: &mut Bench) {
    bench.side(Side::Dial).tray("3");
    bench.out("seconds-hand");
    bench.out("minute-hand").is(&["luminous"]);
    bench.out("hour-hand").is(&["luminous"]);
    bench
        .out("dial")
        .is(&["luminous"])
        .screws(2, 1.1, "small, in the edge of the plate", "at four and at ten")
        .found("dots of paint still glow after light", Verdict::Keep)
        .note("Kept in a closed bag.");
    bench.out("dial-washer").up("hollow side down");
    bench
        .odd("dial support ring")
        .up("three feet down")
        .note("Thin brass, holds the dial off the date ring.");
    bench.out("hour-wheel").up("toothed rim down");
}

fn date(bench: &mut Bench) {
    bench.tray("4");
    bench
        .out("date-ring-guard")
        .screws(3, 1.0, "tiny, flat head", "round the middle")
        .screws(1, 0.7, "tiny, shortest of all", "beside the jumper")
        .note("Lifted under film: spring beneath.");
    bench.out("date-jumper-spring").sprung().is(&["flies-off"]).up("long leg on the jumper");
    bench.out("date-jumper").sprung();
    bench.out("date-ring").up("print up").note("Stood at 17.");
    bench.out("quick-set-corrector").up("two-armed side up");
    bench.out("date-driving-wheel").up("finger up");
    bench.out("date-intermediate-wheel").up("pinion up");
    bench.tray("5");
    bench.out("motion-work-cover").screws(2, 1.0, "tiny, flat head", "over the minute wheel");
    bench.out("minute-wheel").up("pinion up");
    bench.out("cannon-pinion");
}

fn setting(bench: &mut Bench) {
    bench.tray("6");
    bench
        .out("setting-lever-spring")
        .screws(1, 1.5, "flat head", "middle")
        .screws(1, 1.2, "flat head, shorter", "near the rim")
        .sprung();
    bench.out("setting-wheel-cover").screws(1, 0.9, "tiny, flat head", "beside the stem");
    bench.out("yoke-spring").sprung().is(&["flies-off"]).up("open side to the stem");
    bench.out("yoke");
    bench.out("hack-lever").up("pin down");
    bench.named("setting-wheel", "upper setting wheel").is(&["look-alike"]).up("flat side up");
    bench.named("setting-wheel", "lower setting wheel").is(&["look-alike"]).up("chamfer up");
    bench.out("setting-lever");
    bench.out("winding-stem").with("crown");
    bench.apart("crown").out("crown-gasket").found("hard", Verdict::Replace);
    bench.side(Side::Dial);
    bench.out("sliding-pinion").up("ratchet teeth towards the crown");
    bench.out("winding-pinion").up("ratchet teeth towards the middle");
}

fn balance_and_fork(bench: &mut Bench) {
    bench.side(Side::Train).tray("7");
    bench
        .out("balance-cock")
        .is(&["jewelled", "shock-setting"])
        .screws(1, 2.9, "large flat head", "foot of the cock")
        .note("Lifted with the balance hanging from it.");
    bench.apart("balance-cock");
    bench.out("balance-complete").is(&["capped", "shock-setting"]).note("Stud unclamped.");
    bench.out("stud-carrier").up("clamp up");
    bench.out("regulator").with("regulator-boot").up("boot down");
    bench.tray("8");
    bench.named("shock-spring", "upper shock spring").sprung().is(&["flies-off"]);
    bench.named("cap-jewel", "upper cap jewel").up("flat face towards the pivot");
    bench.named("shock-bush", "upper shock bush").up("cup up");
    bench.side(Side::Train).tray("9");
    bench.out("pallet-cock").is(&["jewelled"]).screws(2, 1.8, "flat head", "both ends");
    bench.out("pallet-fork");
}

fn winding(bench: &mut Bench) {
    bench.tray("10");
    bench
        .out("ratchet-wheel")
        .screws(1, 2.2, "large flat head", "middle of the ratchet wheel")
        .up("marked side up");
    bench
        .out("crown-wheel")
        .left_handed(1.7, "flat head with three slots", "middle of the crown wheel")
        .up("recess down");
    bench.out("crown-wheel-core").up("wide rim down");
    bench.out("click-spring").sprung().is(&["flies-off"]);
    bench.out("click").screws(1, 1.4, "shouldered", "click");
}

fn train(bench: &mut Bench) {
    bench.tray("11");
    bench.out("train-bridge").is(&["jewelled"]).screws(2, 2.5, "flat head", "on the rim").screws(
        1,
        1.8,
        "flat head, shorter",
        "near the middle",
    );
    bench.out("seconds-pinion").is(&["jewelled"]).up("long end to the dial side");
    bench.out("seconds-pinion-spring").sprung().screws(1, 0.8, "tiny", "foot of the spring");
    bench.out("fourth-wheel").is(&["jewelled"]);
    bench.out("escape-wheel").is(&["jewelled"]);
    bench.out("third-wheel").is(&["jewelled"]);
    bench.tray("12");
    bench.out("barrel-bridge").is(&["jewelled"]).screws(3, 2.7, "flat head", "on the rim").screws(
        1,
        2.1,
        "flat head, shorter",
        "beside the crown wheel",
    );
    bench.out("winding-intermediate-wheel").up("chamfer down");
    bench.out("barrel").is(&["jewelled", "slipping-spring"]).up("cover towards the plate");
    bench.apart("barrel");
    bench.out("barrel-cover").up("dot beside the arbor's flat");
    bench.out("barrel-arbor").up("square away from the cover");
    bench
        .out("mainspring")
        .is(&["slipping-spring"])
        .sprung()
        .found("bridle worn bright", Verdict::Replace);
    bench
        .out("slipping-bridle")
        .is(&["slipping-spring"])
        .sprung()
        .note("Loose; it stayed at the wall.");
    bench.side(Side::Train).tray("13");
    bench.out("centre-wheel-bridge").is(&["jewelled"]).screws(
        2,
        1.6,
        "flat head, small",
        "beside the centre",
    );
    bench.out("centre-wheel").is(&["jewelled"]).under(&["cannon-pinion"]);
}

fn plate(bench: &mut Bench) {
    bench.tray("14");
    bench.out("main-plate").is(&["jewelled"]).note("Bare. Number on the plate: 730 552.");
    bench.apart("main-plate").tray("8");
    bench.named("shock-spring", "lower shock spring").sprung().is(&["flies-off"]);
    bench.named("cap-jewel", "lower cap jewel").up("flat face towards the pivot");
    bench.named("shock-bush", "lower shock bush").up("cup out");
    bench.tray("13");
    bench.out("centre-tube").note("Sits tight; drawn to clean the plate.");
    bench.out("minute-wheel-post");
}
