//! What a sign may mean: causes in order, tests, and authorities that disagree. Words and sources;
//! no arithmetic.

use super::finding::{Cause, Dispute, NextTest, Sign};

/// What is known of a sign.
#[derive(Debug)]
pub(super) struct Entry {
    pub(super) causes: &'static [Cause],
    pub(super) next_tests: &'static [NextTest],
    pub(super) disputes: &'static [Dispute],
}

const COMMON: &str = "common practice, no published source";

const fn cause(words: &'static str, source: &'static str) -> Cause {
    Cause { words, source }
}

const fn test(words: &'static str, tells: &'static str, source: &'static str) -> NextTest {
    NextTest { words, tells, source }
}

/// The entry of a sign.
pub(super) fn entry(sign: Sign) -> &'static Entry {
    match sign {
        Sign::Knocking => &KNOCKING,
        Sign::OutOfBeat => &OUT_OF_BEAT,
        Sign::WeakMotion => &WEAK_MOTION,
        Sign::FadingWithWind => &FADING,
        Sign::PeriodicFault => &PERIODIC,
        Sign::LargeOrErratic => &LARGE_OR_ERRATIC,
        Sign::FallToUpright => &FALL,
        Sign::NoFallToUpright => &NO_FALL,
        Sign::FlatShorterIsFaster => &SHORTER_FASTER,
        Sign::FlatShorterIsSlower => &SHORTER_SLOWER,
        Sign::FlatDiffer => &FLAT_DIFFER,
        Sign::UprightFast => &UPRIGHT_FAST,
        Sign::UprightSlow => &UPRIGHT_SLOW,
        Sign::OneUprightOut => &ONE_OUT,
        Sign::LosingMoreWithTime => &LOSING_MORE,
        Sign::HandsAgainstBalance => &HANDS,
        Sign::SlowInUse => &SLOW_IN_USE,
    }
}

const KNOCKING: Entry = Entry {
    causes: &[
        cause("more force than the escapement takes: a mainspring too strong", COMMON),
        cause("a lift angle set too large, so that the amplitude reads too high", COMMON),
        cause("too little lock or draw for the force, after a change of parts", COMMON),
    ],
    next_tests: &[
        test(
            "listen for a gallop fully wound and flat, and again upright or half run down",
            "knocking is loud, gains very fast and vanishes with less motion; a wrong lift angle does \
             neither",
            "bib:horopedia, \"knock\"; common practice for the rest",
        ),
        test(
            "find the lift angle from a half turn seen by eye",
            "whether the amplitude itself is right",
            COMMON,
        ),
    ],
    disputes: &[Dispute {
        one: cause("knocking begins near 330 degrees", "bib:horopedia, \"knock\""),
        other: cause("only near a full turn, 360 degrees", COMMON),
    }],
};

const OUT_OF_BEAT: Entry = Entry {
    causes: &[
        cause("the collet is turned on the staff, or the stud is off the line of centres", COMMON),
        cause("the roller is turned on the staff", COMMON),
        cause("the fork does not bank alike on both sides", COMMON),
    ],
    next_tests: &[test(
        "with the train blocked, see whether the pin rests in the notch with the fork midway",
        "a turned spring from a fork that banks unevenly",
        "bib:hasluck-cyclopaedia",
    )],
    disputes: &[Dispute {
        one: cause(
            "an uneven beat is heard as a gallop and does little to the final rate",
            "bib:horopedia, \"repere\"",
        ),
        other: cause(
            "it lowers the force at which the watch starts by itself, so it is set right all the same",
            COMMON,
        ),
    }],
};

const WEAK_MOTION: Entry = Entry {
    causes: &[
        cause("dirt or thick oil, in the train or at the balance", COMMON),
        cause(
            "a set or weak mainspring, or a rough one",
            "bib:kleinlein1920, example 4; \
              bib:goodrich1905, chapter XV",
        ),
        cause(
            "a mainspring too long and too thick, as surely as a weak one",
            "bib:kleinlein1920, \
              No. 51",
        ),
        cause("a deep lock, or the fork or guard rubbing", "bib:kleinlein1920, examples 2 and 5"),
        cause("a lift angle set too small, so that the amplitude reads too low", COMMON),
    ],
    next_tests: &[
        test(
            "let the mainspring down, give half a turn and see the escape wheel recoil in four \
             positions",
            "train and mainspring from escapement and balance",
            "bib:bench-notes-1953",
        ),
        test(
            "find the lift angle from a half turn seen by eye",
            "whether the amplitude itself is right",
            COMMON,
        ),
    ],
    disputes: &[],
};

const FADING: Entry = Entry {
    causes: &[
        cause("a weak or set mainspring", "bib:kleinlein1920, example 7"),
        cause(
            "a rough mainspring, which loses a third to a half of its force",
            "bib:goodrich1905, \
              chapter XV",
        ),
        cause(
            "a gummy mainspring: gains when wound, loses when half down",
            "bib:goodrich1905, \
              chapter XV",
        ),
        cause("a slipping mainspring of an automatic watch that slips too early", COMMON),
    ],
    next_tests: &[test(
        "count the turns of the barrel from let down to full and read the amplitude every few hours",
        "a spring that gives too few turns or slips from one that is rough throughout",
        COMMON,
    )],
    disputes: &[],
};

const PERIODIC: Entry = Entry {
    causes: &[
        cause("once a minute: fourth wheel or its pinion", "bib:hasluck1918, chapter 15"),
        cause(
            "once an hour: centre wheel, its pinion, or the motion work",
            "bib:hasluck1918, \
              chapter 15",
        ),
        cause(
            "once a turn of the escape wheel: a damaged tooth, or dirt in its pinion",
            "bib:hasluck1918, chapter 15",
        ),
        cause(
            "a depth that drops the motion at intervals; the interval names the wheel",
            "bib:kleinlein1920, No. 74",
        ),
    ],
    next_tests: &[
        test(
            "enter the train, so that every turn and every tooth has its period",
            "which wheel, or which pair of teeth, has the period that was found",
            COMMON,
        ),
        test(
            "mark the wheel and stop the watch at the fault twice",
            "whether the same tooth stands there",
            COMMON,
        ),
    ],
    disputes: &[],
};

const LARGE_OR_ERRATIC: Entry = Entry {
    causes: &[
        cause(
            "magnetism, of the hairspring above all",
            "bib:kleinlein1920, No. 78; \
              bib:watchclub",
        ),
        cause(
            "coils that stick or touch: oil on the hairspring, or a bent coil",
            "bib:kleinlein1920, No. 49",
        ),
        cause("a coil caught behind a pin, or an outer coil in the wrong slot", COMMON),
        cause("the index moved or struck", COMMON),
        cause("a hairspring or balance that is not this movement's", COMMON),
    ],
    next_tests: &[
        test(
            "hold a small compass to the running watch",
            "magnetism: the needle trembles with the balance",
            COMMON,
        ),
        test(
            "demagnetise in the three directions and read again",
            "magnetism from a spring that touches",
            "bib:iso764",
        ),
        test(
            "look at the coils, flat and on both sides, at rest and in motion",
            "coils that stick or touch",
            COMMON,
        ),
    ],
    disputes: &[Dispute {
        one: cause("a magnetised watch is always slow, never fast", "bib:kleinlein1920, No. 78"),
        other: cause("a magnetised hairspring whose coils stick gains strongly", "bib:watchclub"),
    }],
};

const FALL: Entry = Entry {
    causes: &[
        cause("balance pivots that are thick, rough or dry, or holes that are worn", COMMON),
        cause(
            "a deep lock, or the fork or guard rubbing upright",
            "bib:kleinlein1920, examples 2 \
              and 5",
        ),
        cause("endshake or sideshake outside its limits", "bib:kleinlein1920, No. 25"),
        cause("a weak mainspring, which shows upright first", "bib:kleinlein1920, example 4"),
    ],
    next_tests: &[test(
        "read the amplitude in all four upright positions",
        "one low position points to the escapement or a hole; all low alike to pivots or force",
        COMMON,
    )],
    disputes: &[Dispute {
        one: cause(
            "upright a sound watch swings 45 degrees less",
            "bib:kleinlein1920, Nos. 51 \
                   and 55",
        ),
        other: cause("30 degrees less", "bib:horopedia, \"amplitude\""),
    }],
};

const NO_FALL: Entry = Entry {
    causes: &[
        cause("flat or mushroomed pivot ends", "bib:kleinlein1920, example 8"),
        cause("pitted or unclean endstones", "bib:kleinlein1920, example 8; bib:watchmakingblog"),
    ],
    next_tests: &[test(
        "look at the pivot ends and the endstones",
        "which of the two",
        "bib:kleinlein1920, example 8",
    )],
    disputes: &[],
};

const SHORTER_FASTER: Entry = Entry {
    causes: &[
        cause(
            "dirt or thick oil in the balance jewel on which the short side stands; dial up that is \
               the one on the side of the bridges",
            "bib:kleinlein1920, Nos. 46-50; the side by \
               geometry",
        ),
        cause("a burred, bent or flat pivot there", "bib:kleinlein1920, Nos. 46-50"),
        cause(
            "the hairspring rubs, is not flat, or its overcoil touches in that position",
            "bib:kleinlein1920, Nos. 46-50",
        ),
        cause("a pitted endstone there", "bib:watchmakingblog"),
    ],
    next_tests: &[
        test(
            "clean and oil the jewel of the short side anew and read both sides",
            "dirt and oil from pivot and spring",
            COMMON,
        ),
        test("look at the hairspring in that position, in motion", "a spring that rubs", COMMON),
    ],
    disputes: &[],
};

const SHORTER_SLOWER: Entry = Entry {
    causes: &[
        cause("one balance hole too wide", "bib:kleinlein1920, No. 50"),
        cause("a deeply pitted endstone", "bib:kleinlein1920, No. 50"),
        cause(
            "what makes the shorter side faster usually, hidden by something else",
            "bib:kleinlein1920, Nos. 46-50",
        ),
    ],
    next_tests: &[test(
        "look at the endstone of the short side, and feel the sideshake of both pivots",
        "a wide hole from a pit",
        COMMON,
    )],
    disputes: &[],
};

const FLAT_DIFFER: Entry = Entry {
    causes: &[
        cause(
            "dirt or thick oil in one balance jewel, or a faulty pivot or endstone",
            "bib:kleinlein1920, Nos. 46-50",
        ),
        cause("a hairspring that rubs or is not flat", "bib:kleinlein1920, Nos. 46-50"),
    ],
    next_tests: &[test(
        "read the amplitude on both sides",
        "the fault is on the side with the shorter motion",
        "bib:kleinlein1920, Nos. 46-50",
    )],
    disputes: &[],
};

const UPRIGHT_FAST: Entry = Entry {
    causes: &[
        cause(
            "regulator pins too tight on the spring, or the spring on one pin",
            "bib:kleinlein1920, Nos. 37-39 and 79",
        ),
        cause(
            "a deep lock, or the fork or guard rubbing: short motion upright",
            "bib:kleinlein1920, examples 2 and 5",
        ),
        cause(
            "pivots too large, or rims of a cut balance that open in long arcs",
            "bib:kleinlein1920, No. 73",
        ),
        cause("a train depth that takes force upright", "bib:kleinlein1920, No. 74"),
    ],
    next_tests: &[test(
        "see how the spring stands between the pins, open them a little and read flat and upright",
        "pins from escapement and pivots; 6 to 8 seconds can be had there",
        "bib:kleinlein1920, Nos. 37-39",
    )],
    disputes: &[],
};

const UPRIGHT_SLOW: Entry = Entry {
    causes: &[
        cause("regulator pins too open", "bib:kleinlein1920, example 3, Nos. 37-39"),
        cause("a weak mainspring: short arcs that lose", "bib:kleinlein1920, example 4"),
        cause("the escapement itself, which loses in short arcs", "bib:airy1830"),
    ],
    next_tests: &[test(
        "close the pins until the spring just has play and read flat and upright",
        "pins from force and escapement",
        "bib:kleinlein1920, Nos. 37-39",
    )],
    disputes: &[],
};

const ONE_OUT: Entry = Entry {
    causes: &[
        cause("a want of poise", "bib:kleinlein1920, No. 28"),
        cause(
            "the hairspring's own position error, by its pinning point",
            "bib:kleinlein1920, \
              No. 34, example 10",
        ),
        cause(
            "the fork too long on one side, or rubbing in that position",
            "bib:kleinlein1920, \
              example 5",
        ),
        cause("an oval or bent pivot", "bib:kleinlein1920, example 7"),
    ],
    next_tests: &[
        test(
            "read four upright positions above and below 219.54 degrees of amplitude",
            "poise reverses between the two, the spring's own error stays",
            "bib:kleinlein1920, No. 28",
        ),
        test(
            "listen at the ear in that position",
            "a striking or scraping fork",
            "bib:kleinlein1920, example 5; bib:escapements1904",
        ),
    ],
    disputes: &[
        Dispute {
            one: cause(
                "a want of poise does nothing at one and a quarter turns, 225 degrees",
                "bib:kleinlein1920, No. 28",
            ),
            other: cause("at 220 degrees", "bib:adjusting-vintage, after Jendritzki"),
        },
        Dispute {
            one: cause(
                "weight at the top slows a fast upright position, by making the arc longer: a rule of \
                 the shop that its reporter calls faulty",
                "bib:excelsior1876, par. 85",
            ),
            other: cause(
                "weight at the top gains above the neutral arc",
                "bib:kleinlein1920, \
                         No. 28",
            ),
        },
    ],
};

const LOSING_MORE: Entry = Entry {
    causes: &[cause("rust on the hairspring", "bib:kleinlein1920, No. 83")],
    next_tests: &[test(
        "look along the hairspring for dark spots",
        "rust from a rate that wanders",
        COMMON,
    )],
    disputes: &[],
};

const HANDS: Entry = Entry {
    causes: &[
        cause(
            "a loose cannon pinion: the balance counts right and the hands lag",
            "bib:goodrich1905, chapter XIII",
        ),
        cause("hands that touch, or a wheel of the motion work that binds", "bib:tm9-1575"),
    ],
    next_tests: &[test(
        "mark the cannon pinion against its arbor and look again after a day",
        "whether it slips",
        COMMON,
    )],
    disputes: &[],
};

const SLOW_IN_USE: Entry = Entry {
    causes: &[
        cause(
            "it is worn in a position that is slower than the mean",
            "bib:kleinlein1920, \
              Nos. 77-78",
        ),
        cause(
            "the middle-temperature error: 2 to 4 s faster between than at the ends",
            "bib:kleinlein1920, Nos. 21-22 and 77",
        ),
        cause("magnetism", "bib:kleinlein1920, Nos. 77-78"),
        cause("a new hairspring that ages", "bib:kleinlein1920, Nos. 77-78"),
    ],
    next_tests: &[test(
        "compare with the rate that the sheet gives for its wearer's own hours in the positions",
        "position from the rest",
        COMMON,
    )],
    disputes: &[],
};

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Sign; 17] = [
        Sign::Knocking,
        Sign::OutOfBeat,
        Sign::WeakMotion,
        Sign::FadingWithWind,
        Sign::PeriodicFault,
        Sign::LargeOrErratic,
        Sign::FallToUpright,
        Sign::NoFallToUpright,
        Sign::FlatShorterIsFaster,
        Sign::FlatShorterIsSlower,
        Sign::FlatDiffer,
        Sign::UprightFast,
        Sign::UprightSlow,
        Sign::OneUprightOut,
        Sign::LosingMoreWithTime,
        Sign::HandsAgainstBalance,
        Sign::SlowInUse,
    ];

    /// Nothing is said without saying who says so.
    #[test]
    fn everything_has_a_source_and_a_next_test() {
        let sourced = |source: &str| source.contains("bib:") || source.contains("common practice");
        for sign in ALL {
            let entry = entry(sign);
            assert!(!entry.causes.is_empty() && !entry.next_tests.is_empty(), "{sign:?}");
            let disputes = entry.disputes.iter().flat_map(|d| [&d.one, &d.other]);
            for cause in entry.causes.iter().chain(disputes) {
                assert!(sourced(cause.source) && !cause.words.contains("  "), "{cause:?}");
            }
            for test in entry.next_tests {
                assert!(sourced(test.source) && !test.tells.contains("  "), "{test:?}");
            }
        }
    }
}
