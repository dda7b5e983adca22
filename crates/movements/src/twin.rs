//! A self-winding watch with two barrels, two trains and two balances.

use crate::Movement;
use crate::bench::Bench;
use rebuild::{Side, Verdict};

const NAME: &str = "Self-winding watch with two balances";
const ABOUT: &str = "One of a small series by a school's workshop: two barrels, two going trains and two \
balances, a seconds hand for each, hours and minutes from the mean of both. The owner says that the \
two seconds hands used to stay together for a day and now part within an hour.";

/// The two trains, as the repairer called them.
const TRAINS: [&str; 2] = ["left", "right"];

/// A self-winding watch with two barrels, two trains and two balances, of some 130 parts, taken down
/// from `start_ms` (milliseconds since 1970-01-01 00:00 UTC) on. Left and right match part for part,
/// but for the screw of one balance cock, which is shorter on the right.
#[must_use]
pub fn twin(start_ms: i64) -> Movement {
    let mut bench = Bench::new(NAME, start_ms);
    case(&mut bench);
    self_winding(&mut bench);
    hands_and_dial(&mut bench);
    reserve(&mut bench);
    date(&mut bench);
    motion_work(&mut bench);
    setting(&mut bench);
    for train in TRAINS {
        balance_and_fork(&mut bench, train);
    }
    winding(&mut bench);
    trains(&mut bench);
    barrels(&mut bench);
    plate(&mut bench);
    bench.of(&[]).first(
        "minute-hand",
        "automatic-bridge",
        "Hands go on with the middle supported from the train side; self-winding work last.",
    );
    for train in TRAINS {
        bench.first(&format!("seconds-hand {train}"), "automatic-bridge", "As before.");
    }
    Movement { name: NAME, about: ABOUT, entries: bench.finished() }
}

fn case(bench: &mut Bench) {
    bench.side(Side::Case).tray("case box");
    bench.out("spring-bar").with("spring-bar").sprung().note("Between the lugs, both ends.");
    bench.out("strap").found("as good as new", Verdict::Keep);
    bench.out("case-back").screws(6, 2.2, "countersunk, five lobes", "round the rim");
    bench.out("back-gasket").found("soft, one nick", Verdict::Replace);
    bench
        .out("case-clamp")
        .with("case-clamp")
        .with("case-clamp")
        .screws(3, 1.4, "large flat head", "over the clamps")
        .note("Setting lever screw loosened, stem drawn, movement out, stem put back in.");
    bench.out("casing-ring").up("cut-out at three");
    bench.out("bezel").note("Snapped on; opened at the nick at six.");
    bench.out("bezel-gasket").found("soft", Verdict::Keep).up("flat side to the case");
    bench.out("inner-flange").up("printed side up");
    bench.out("glass-tension-ring").up("chamfer down");
    bench.out("glass-gasket").found("yellow", Verdict::Replace).up("bevel towards the glass");
    bench.out("glass").up("bevel outside");
}

fn self_winding(bench: &mut Bench) {
    bench.side(Side::Train).tray("1");
    bench
        .out("rotor")
        .screws(3, 1.6, "tiny, blued", "round the bearing")
        .up("engraving up")
        .note("Turned first so that the screws come free of the bridge.");
    bench.apart("rotor");
    bench.out("rotor-pinion").up("teeth down");
    bench.out("rotor-bearing").up("flange down").found("runs sweetly", Verdict::Clean);
    bench.side(Side::Train).tray("2");
    bench
        .out("automatic-bridge")
        .is(&["jewelled"])
        .screws(2, 3.1, "flat head", "on the rim")
        .screws(1, 2.3, "flat head, blued", "between the balances");
    bench.named("reverser-wheel", "upper reverser").is(&["look-alike"]).up("pinion up");
    bench
        .named("reverser-wheel", "lower reverser")
        .is(&["look-alike"])
        .up("pinion down")
        .found("slips late: the old treatment is washed out", Verdict::Clean)
        .note("Lies over the upper jewel of the reduction wheel.");
    bench
        .out("reduction-wheel")
        .is(&["jewelled"])
        .up("pinion down")
        .found("upper jewel dry and dark", Verdict::Clean);
    bench.out("automatic-click-spring").sprung().is(&["flies-off"]);
    bench.out("automatic-click").up("nose to the middle");
    bench.out("ratchet-driving-wheel").is(&["jewelled"]).up("pinion down");
    bench.out("automatic-lower-bridge").is(&["jewelled"]).screws(
        3,
        1.9,
        "flat head",
        "three in a triangle",
    );
    bench.done(
        "let-down-before-balance",
        "Both clicks held back in turn, crown let back; left five turns, right five and a half.",
    );
    bench.done("let-down-before-fork-and-train", "Both ratchet wheels are slack to and fro.");
    bench.done("let-down-every-barrel", "Left and right each tried by hand: slack.");
}

fn hands_and_dial(bench: &mut Bench) {
    bench.side(Side::Dial).tray("3");
    for train in TRAINS {
        bench.of(&[train]).out("seconds-hand");
    }
    bench.of(&[]);
    bench.out("reserve-hand").up("hub down");
    bench.out("minute-hand");
    bench.out("hour-hand");
    bench
        .out("dial")
        .screws(2, 1.2, "small, in the edge of the plate", "at two and at eight")
        .found("grained, no marks", Verdict::Keep)
        .note("No luminous paint.");
    for train in TRAINS {
        bench.of(&[train]).out("seconds-dial").note("Riveted ring, lifts out of the dial's back.");
    }
    bench.of(&[]);
    bench.out("dial-washer").up("hollow side down");
    bench.out("hour-wheel");
}

fn reserve(bench: &mut Bench) {
    bench.tray("4");
    bench
        .odd("cover of the reserve work")
        .screws(2, 0.9, "tiny, flat head", "both ends of the cover")
        .up("dot towards three");
    bench.named("reserve-wheel", "reserve hand wheel").up("pipe up");
    bench.named("reserve-wheel", "reserve intermediate wheel").up("chamfer up");
    bench.out("reserve-differential").up("cage up").note("Three planets, kept together.");
}

fn date(bench: &mut Bench) {
    bench.tray("4");
    bench
        .out("date-ring-guard")
        .screws(3, 0.9, "tiny, flat head", "round the middle")
        .note("Lifted under film: spring beneath.");
    bench.out("date-jumper-spring").sprung().is(&["flies-off"]).up("long leg on the jumper");
    bench.out("date-jumper").sprung();
    bench.out("date-ring").up("print up").note("Stood at 23.");
    bench.out("quick-set-corrector").up("two-armed side up");
    bench.out("date-driving-wheel").up("finger up");
}

fn motion_work(bench: &mut Bench) {
    bench.tray("5");
    bench
        .out("motion-work-cover")
        .screws(2, 1.0, "tiny, flat head", "beside the minute wheel")
        .screws(1, 1.3, "tiny, flat head, longer", "near the middle");
    bench.out("minute-wheel").up("pinion up");
    bench.out("friction-driving-wheel").up("small wheel up");
    bench.out("cannon-pinion");
}

fn setting(bench: &mut Bench) {
    bench.tray("6");
    bench
        .out("setting-lever-spring")
        .screws(1, 1.5, "flat head", "middle")
        .screws(1, 1.1, "flat head, shorter", "near the stem")
        .sprung();
    bench.out("yoke-spring").sprung().is(&["flies-off"]).up("long arm on the yoke");
    bench.out("yoke");
    bench.out("hack-lever").up("two fingers up").note("Reaches both balances.");
    bench.named("setting-wheel", "upper setting wheel").is(&["look-alike"]).up("flat side up");
    bench.named("setting-wheel", "lower setting wheel").is(&["look-alike"]).up("chamfer up");
    bench.out("winding-stem").with("crown");
    bench.apart("crown").out("crown-gasket").found("hard", Verdict::Replace);
    bench.side(Side::Dial);
    bench.out("setting-lever").with("setting-lever-screw");
    bench.out("sliding-pinion").up("ratchet teeth towards the crown");
    bench.out("winding-pinion").up("ratchet teeth towards the middle");
}

fn balance_and_fork(bench: &mut Bench, train: &str) {
    let tray = |shelf: &str| format!("{shelf} {train}");
    // The one difference: a screw that does not belong there.
    let (mm, note) = match train {
        "left" => (2.8, "Lifted with the balance hanging from it."),
        _ => (2.4, "Lifted with the balance hanging from it. Screw looks newer than its twin."),
    };
    bench.of(&[train]).side(Side::Train).tray(&tray("7"));
    bench
        .out("balance-cock")
        .is(&["jewelled", "shock-setting"])
        .screws(1, mm, "large flat head", "foot of the cock")
        .note(note);
    let cock = format!("balance-cock {train}");
    bench.apart(&cock);
    bench.out("balance-complete").is(&["capped", "shock-setting", "look-alike"]).screws(
        1,
        0.7,
        "tiny, in the side of the stud holder",
        "stud",
    );
    bench.out("stud-carrier").up("screw outside");
    bench
        .out("regulator-spring")
        .screws(1, 0.9, "tiny, polished", "foot of the spring")
        .sprung()
        .up("curved end on the regulator");
    bench.out("regulator-screw");
    bench.out("regulator").with("regulator-boot").up("boot down");
    bench.tray(&tray("8"));
    bench.named("shock-spring", "upper shock spring").sprung().is(&["flies-off"]);
    bench.named("cap-jewel", "upper cap jewel").up("flat face towards the pivot");
    bench.named("shock-bush", "upper shock bush").up("cup up");
    bench.side(Side::Train).tray(&tray("9"));
    bench.out("pallet-cock").is(&["jewelled"]).screws(2, 1.7, "flat head", "both ends");
    bench.out("pallet-fork").is(&["look-alike"]);
}

fn winding(bench: &mut Bench) {
    bench.of(&[]).side(Side::Train).tray("10");
    bench
        .out("crown-wheel")
        .left_handed(1.8, "flat head with three slots", "middle of the crown wheel")
        .up("recess down");
    bench.out("crown-wheel-core").up("wide rim down");
    bench
        .out("barrel-intermediate-wheel")
        .screws(1, 1.6, "shouldered", "middle of the intermediate wheel")
        .up("chamfer up");
    for train in TRAINS {
        bench.of(&[train]).tray(&format!("10 {train}"));
        bench
            .out("ratchet-wheel")
            .screws(1, 2.1, "large flat head", "middle of the ratchet wheel")
            .up("snailed side up");
        bench.out("click-spring").sprung().is(&["flies-off"]);
        bench.out("click").screws(1, 1.4, "shouldered", "click");
    }
}

fn trains(bench: &mut Bench) {
    for train in TRAINS {
        bench.of(&[train]).tray(&format!("11 {train}"));
        bench.out("escape-wheel-cock").is(&["jewelled"]).screws(1, 1.7, "flat head", "foot");
    }
    bench.of(&TRAINS).tray("11");
    bench
        .out("train-bridge")
        .is(&["jewelled"])
        .screws(3, 2.6, "flat head", "on the rim")
        .screws(2, 1.9, "flat head, shorter", "between the trains")
        .note("Spans both trains: four pivots of each to be found at once.");
    for train in TRAINS {
        bench.of(&[train]).tray(&format!("11 {train}"));
        bench.out("fourth-wheel").is(&["jewelled", "look-alike"]).up("long pivot to the dial side");
        bench.out("escape-wheel").is(&["jewelled", "look-alike"]);
        bench.out("third-wheel").is(&["jewelled", "look-alike"]);
    }
    bench.of(&TRAINS).tray("12");
    bench
        .out("train-differential")
        .up("larger wheel down")
        .note("Takes from both third wheels, drives the minutes.")
        .under(&["cannon-pinion", "friction-driving-wheel"]);
}

fn barrels(bench: &mut Bench) {
    bench.of(&TRAINS).tray("12");
    bench.out("barrel-bridge").is(&["jewelled"]).screws(3, 2.9, "flat head", "on the rim").screws(
        1,
        2.2,
        "flat head, shorter",
        "near the middle",
    );
    for train in TRAINS {
        let barrel = format!("barrel {train}");
        bench.of(&[train]).side(Side::Train).tray(&format!("13 {train}"));
        bench
            .out("barrel")
            .is(&["jewelled", "slipping-spring", "look-alike"])
            .up("cover towards the plate");
        bench.apart(&barrel);
        bench.out("barrel-cover").up("dot beside the arbor's flat");
        bench.out("barrel-arbor").up("square away from the cover");
        bench.out("mainspring").is(&["slipping-spring"]).sprung();
        bench.out("slipping-bridle").is(&["slipping-spring"]).sprung().up("open end first");
        bench.side(Side::Train);
        bench.out("centre-wheel").is(&["jewelled", "look-alike"]);
    }
}

fn plate(bench: &mut Bench) {
    bench.of(&[]).side(Side::Train).tray("14");
    bench.out("main-plate").is(&["jewelled"]).note("Bare. Number on the plate: 0 019.");
    bench.apart("main-plate").tray("12");
    bench.out("centre-tube");
    bench.out("minute-wheel-post");
    for train in TRAINS {
        bench.of(&[train]).tray(&format!("8 {train}"));
        bench.named("shock-spring", "lower shock spring").sprung().is(&["flies-off"]);
        bench.named("cap-jewel", "lower cap jewel").up("flat face towards the pivot");
        bench.named("shock-bush", "lower shock bush").up("cup out");
    }
}
