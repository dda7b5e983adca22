//! The words of final tests: which kinds there are, what each may say.

use crate::wordlist::wordlist;

wordlist! {
    /// What is tested before a watch goes back.
    pub enum TestKind {
        /// Rate and amplitude over positions, from the sheet that was regulated by.
        Rate = "rate", "rate over positions";
        /// How long it runs, wound fully.
        RunningTime = "running_time", "running time";
        /// Whether wearing it winds it.
        AutomaticWinding = "automatic_winding", "automatic winding";
        /// Whether water stays out.
        Water = "water", "water resistance";
        /// What a magnetic field does to it.
        Magnetism = "magnetism", "magnetism";
        /// Hands and calendar over a day and through midnight.
        HandsAndCalendar = "hands_and_calendar", "hands and calendar";
        /// What can be seen of case, dial, hands and glass.
        Look = "look", "a look all over";
        /// Anything else, by a name of its own.
        Other = "other", "other test";
    }
}

wordlist! {
    /// By what a test is done and judged.
    pub enum TestStandard {
        /// The workshop's own way and limits.
        Own = "own", "own limits";
        /// Ordinary watches that are called water-resistant.
        Iso22810 = "iso_22810", "ISO 22810";
        /// Divers' watches.
        Iso6425 = "iso_6425", "ISO 6425";
        /// Magnetic resistant watches.
        Iso764 = "iso_764", "ISO 764";
        /// Those that withstand the stronger field.
        Iso764Enhanced = "iso_764_enhanced", "ISO 764, enhanced";
    }
}

wordlist! {
    /// Which way a test is done, where its kind has several.
    pub enum TestWay {
        /// Dry: air pressed on the case or drawn from it.
        Air = "air", "dry, by air";
        /// Wet: water under pressure.
        Water = "water", "wet, under pressure";
        /// Wet: water under a little pressure, straight after the full one.
        LowPressure = "low_pressure", "wet, low pressure afterwards";
        /// Lying in still water.
        Immersion = "immersion", "lying in water";
        /// The crown pressed sideways in water.
        CrownPressed = "crown_pressed", "crown pressed in water";
        /// From warm water into cold and back.
        Warmth = "warmth", "warm and cold water";
        /// In salt water.
        Salt = "salt", "salt water";
        /// A drop of cool water on the warmed glass.
        Condensation = "condensation", "drop on the warm glass";
        /// On the wrist.
        Worn = "worn", "worn";
        /// On a device that turns it.
        Winder = "winder", "on a winder";
    }
}

wordlist! {
    /// What the repairer says of a test.
    pub enum TestOutcome {
        /// It is as it should be.
        Passed = "passed", "passed";
        /// It is not.
        Failed = "failed", "failed";
        /// Nothing was said.
        NotDecided = "not_decided", "not decided";
    }
}

wordlist! {
    /// A number of a test; the code says its unit.
    pub enum FigureOf {
        /// Mean over the positions.
        MeanSPerD = "mean_s_per_d", "mean rate";
        /// Greatest less least over the positions.
        SpreadSPerD = "spread_s_per_d", "greatest difference between positions";
        /// In how many positions it was read.
        Positions = "positions", "positions read";
        /// Least over the positions, or after winding by wear.
        AmplitudeDeg = "amplitude_deg", "lowest amplitude";
        /// Limit.
        FromSPerD = "from_s_per_d", "lowest mean rate that may be";
        /// Limit.
        ToSPerD = "to_s_per_d", "highest mean rate that may be";
        /// Limit.
        MostSpreadSPerD = "most_spread_s_per_d", "greatest difference that may be";
        /// Limit.
        LeastAmplitudeDeg = "least_amplitude_deg", "lowest amplitude that may be";
        /// Since it was wound, or since winding by wear ended, at the last look.
        HoursRun = "hours_run", "hours run at the last look";
        /// For a watch that was found stopped: hours from the look before to the last one.
        LookedEveryH = "looked_every_h", "hours between the last two looks";
        /// Limit.
        WantedH = "wanted_h", "running time wanted";
        /// How long it was worn or turned.
        HoursWorn = "hours_worn", "hours worn or turned";
        /// Turns of the winder.
        Turns = "turns", "turns of the winder";
        /// What stands on the watch.
        MarkedBar = "marked_bar", "pressure marked on the watch";
        /// Over that of the air; below nought where air was drawn off.
        TestedBar = "tested_bar", "pressure of the test";
        /// How long it was under test.
        Minutes = "minutes", "time under test";
        /// Air that leaked.
        LeakUgPerMin = "leak_ug_per_min", "air leaked";
        /// How far case and glass bent.
        BendUm = "bend_um", "bend of the case";
        /// Of the watch on its plate, or of the warm water.
        WarmDegC = "warm_deg_c", "warm temperature";
        /// Of the drop, of the cold water, or of the water where there is only one.
        ColdDegC = "cold_deg_c", "cold temperature";
        /// Limit.
        MostLeakUgPerMin = "most_leak_ug_per_min", "air that may leak";
        /// What the workshop asks for.
        WantedBar = "wanted_bar", "pressure wanted";
        /// What the workshop asks for.
        WantedMinutes = "wanted_minutes", "time wanted";
        /// Field.
        FieldAPerM = "field_a_per_m", "field";
        /// Rate before the field.
        BeforeSPerD = "before_s_per_d", "rate before";
        /// Rate after it, in the same position.
        AfterSPerD = "after_s_per_d", "rate after";
        /// Limit, to either side.
        MostChangeSPerD = "most_change_s_per_d", "change of rate that may be";
        /// When the calendar had changed, by the watch's own hands; before midnight is negative.
        ChangedMin = "changed_min", "calendar changed after midnight";
        /// Limit, to either side.
        WithinMin = "within_min", "how far from midnight it may change";
    }
}

wordlist! {
    /// Something that somebody looked for.
    pub enum SignOf {
        /// While it is under water.
        Bubbles = "bubbles", "bubbles from the case";
        /// Drops or a film.
        WaterInside = "water_inside", "water in the case";
        /// After the drop.
        Fog = "fog", "fog on the inside of the glass";
        /// A tight case stays bent as long as the pressure stands.
        BendLetUp = "bend_let_up", "bend of the case let up under pressure";
        /// After salt water.
        Rust = "rust", "rust or other marks of the salt";
        /// After salt water.
        Stuck = "stuck", "crown, pushers, ring or hands do not move freely";
        /// In the field.
        StoppedInField = "stopped_in_field", "stopped in the field";
        /// At the last look.
        StillRan = "still_ran", "still ran at the last look";
        /// Turning in all positions.
        RotorTouches = "rotor_touches", "rotor touches case or movement";
        /// Whether there is one.
        HasCalendar = "has_calendar", "has a calendar";
        /// After midnight.
        ShowsRight = "shows_right", "shows the right day, date and moon";
        /// Nothing stands half way.
        ChangesWhole = "changes_whole", "calendar changes whole";
        /// All round.
        HandsTouch = "hands_touch", "hands touch each other, dial or glass";
        /// The minute hand upright when the hour hand points at an hour.
        HandsAgree = "hands_agree", "minute hand is upright on the hour";
        /// Crown and pushers.
        SetsRight = "sets_right", "winds, sets and corrects as it should";
        /// That were not there at intake.
        NewMarks = "new_marks", "marks that were not there at intake";
        /// Dust, fibres, prints.
        DustInside = "dust_inside", "dust, fibres or prints under the glass";
        /// Screws, crown, back, strap.
        AllTight = "all_tight", "crown, back, screws and strap are tight";
    }
}

impl TestKind {
    /// By what such a test may be done.
    #[must_use]
    pub const fn standards(self) -> &'static [TestStandard] {
        match self {
            Self::Water => &[TestStandard::Iso22810, TestStandard::Iso6425, TestStandard::Own],
            Self::Magnetism => {
                &[TestStandard::Iso764, TestStandard::Iso764Enhanced, TestStandard::Own]
            }
            _ => &[TestStandard::Own],
        }
    }

    /// Which ways it may be done; none where there is only one.
    #[must_use]
    pub fn ways(self) -> Vec<TestWay> {
        TestWay::ALL.iter().copied().filter(|way| way.kind() == self).collect()
    }

    /// Which numbers it may have, in their usual order.
    #[must_use]
    pub fn figures(self) -> Vec<FigureOf> {
        FigureOf::ALL.iter().copied().filter(|of| of.kinds().contains(&self)).collect()
    }

    /// Which signs it may have, in their usual order.
    #[must_use]
    pub fn signs(self) -> Vec<SignOf> {
        SignOf::ALL.iter().copied().filter(|of| of.kinds().contains(&self)).collect()
    }
}

impl TestWay {
    /// A way of what.
    #[must_use]
    pub const fn kind(self) -> TestKind {
        match self {
            Self::Worn | Self::Winder => TestKind::AutomaticWinding,
            _ => TestKind::Water,
        }
    }
}

/// Beyond what any watch, tester or room reaches: a number outside is a slip of the keyboard. Our own
/// choice.
const FAR: f64 = 1e7;

impl FigureOf {
    /// Its unit, as it is written; empty for a count.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::MeanSPerD
            | Self::SpreadSPerD
            | Self::FromSPerD
            | Self::ToSPerD
            | Self::MostSpreadSPerD
            | Self::BeforeSPerD
            | Self::AfterSPerD
            | Self::MostChangeSPerD => "s/d",
            Self::AmplitudeDeg | Self::LeastAmplitudeDeg => "°",
            Self::HoursRun | Self::LookedEveryH | Self::WantedH | Self::HoursWorn => "h",
            Self::Positions | Self::Turns => "",
            Self::MarkedBar | Self::TestedBar | Self::WantedBar => "bar",
            Self::Minutes | Self::WantedMinutes | Self::ChangedMin | Self::WithinMin => "min",
            Self::LeakUgPerMin | Self::MostLeakUgPerMin => "µg/min",
            Self::BendUm => "µm",
            Self::WarmDegC | Self::ColdDegC => "°C",
            Self::FieldAPerM => "A/m",
        }
    }

    /// What may stand there, in its unit, both ends included. Our own choice.
    #[must_use]
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::MeanSPerD
            | Self::FromSPerD
            | Self::ToSPerD
            | Self::BeforeSPerD
            | Self::AfterSPerD => (-10_000.0, 10_000.0),
            Self::SpreadSPerD | Self::MostSpreadSPerD | Self::MostChangeSPerD => (0.0, 10_000.0),
            Self::AmplitudeDeg | Self::LeastAmplitudeDeg => (0.0, 400.0),
            Self::HoursRun | Self::LookedEveryH | Self::WantedH | Self::HoursWorn => {
                (0.0, 10_000.0)
            }
            Self::Positions => (1.0, 100.0),
            Self::TestedBar => (-1.0, 2_000.0),
            Self::MarkedBar | Self::WantedBar => (0.0, 2_000.0),
            Self::Minutes | Self::WantedMinutes => (0.0, 100_000.0),
            Self::ChangedMin => (-720.0, 720.0),
            Self::WithinMin => (0.0, 720.0),
            Self::WarmDegC | Self::ColdDegC => (-50.0, 100.0),
            Self::Turns
            | Self::LeakUgPerMin
            | Self::MostLeakUgPerMin
            | Self::BendUm
            | Self::FieldAPerM => (0.0, FAR),
        }
    }

    /// Which tests have it.
    #[must_use]
    pub const fn kinds(self) -> &'static [TestKind] {
        use TestKind::{AutomaticWinding, HandsAndCalendar, Magnetism, Rate, RunningTime, Water};
        match self {
            Self::MeanSPerD
            | Self::SpreadSPerD
            | Self::Positions
            | Self::FromSPerD
            | Self::ToSPerD
            | Self::MostSpreadSPerD => &[Rate],
            Self::AmplitudeDeg | Self::LeastAmplitudeDeg => &[Rate, AutomaticWinding],
            Self::HoursRun | Self::LookedEveryH | Self::WantedH => &[RunningTime, AutomaticWinding],
            Self::HoursWorn | Self::Turns => &[AutomaticWinding],
            Self::MarkedBar
            | Self::TestedBar
            | Self::Minutes
            | Self::LeakUgPerMin
            | Self::BendUm
            | Self::WarmDegC
            | Self::ColdDegC
            | Self::MostLeakUgPerMin
            | Self::WantedBar
            | Self::WantedMinutes => &[Water],
            Self::FieldAPerM | Self::BeforeSPerD | Self::AfterSPerD | Self::MostChangeSPerD => {
                &[Magnetism]
            }
            Self::ChangedMin | Self::WithinMin => &[HandsAndCalendar],
        }
    }

    /// Whether it was measured, so that it may have an uncertainty.
    #[must_use]
    pub const fn is_measured(self) -> bool {
        matches!(
            self,
            Self::MeanSPerD
                | Self::SpreadSPerD
                | Self::AmplitudeDeg
                | Self::BeforeSPerD
                | Self::AfterSPerD
                | Self::LeakUgPerMin
        )
    }

    /// Whether it is a limit that the workshop sets.
    #[must_use]
    pub const fn is_limit(self) -> bool {
        matches!(
            self,
            Self::FromSPerD
                | Self::ToSPerD
                | Self::MostSpreadSPerD
                | Self::LeastAmplitudeDeg
                | Self::WantedH
                | Self::MostLeakUgPerMin
                | Self::WantedBar
                | Self::WantedMinutes
                | Self::MostChangeSPerD
                | Self::WithinMin
        )
    }

    /// Its words in a test done this way: what a temperature is of hangs on that.
    #[must_use]
    pub const fn words_in(self, way: Option<TestWay>) -> &'static str {
        match (self, way) {
            (Self::WarmDegC, Some(TestWay::Condensation)) => "temperature of the warmed watch",
            (Self::ColdDegC, Some(TestWay::Condensation)) => "temperature of the drop",
            (Self::WarmDegC, Some(TestWay::Warmth)) => "temperature of the warm water",
            (Self::ColdDegC, Some(TestWay::Warmth)) => "temperature of the cold water",
            (Self::ColdDegC, Some(_)) => "temperature of the water",
            _ => self.words(),
        }
    }

    /// Its words, with the unit where it has one.
    #[must_use]
    pub fn words_with_unit(self) -> String {
        match self.unit() {
            "" => self.words().to_owned(),
            unit => format!("{} in {unit}", self.words()),
        }
    }
}

impl SignOf {
    /// Which tests have it.
    #[must_use]
    pub const fn kinds(self) -> &'static [TestKind] {
        use TestKind::{AutomaticWinding, HandsAndCalendar, Look, Magnetism, RunningTime, Water};
        match self {
            Self::Bubbles
            | Self::WaterInside
            | Self::Fog
            | Self::BendLetUp
            | Self::Rust
            | Self::Stuck => &[Water],
            Self::StoppedInField => &[Magnetism],
            Self::StillRan => &[RunningTime, AutomaticWinding],
            Self::RotorTouches => &[AutomaticWinding],
            Self::HasCalendar
            | Self::ShowsRight
            | Self::ChangesWhole
            | Self::HandsTouch
            | Self::HandsAgree
            | Self::SetsRight => &[HandsAndCalendar],
            Self::NewMarks | Self::DustInside | Self::AllTight => &[Look],
        }
    }
}
