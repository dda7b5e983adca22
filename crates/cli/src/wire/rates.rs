//! `endshake.rates/1`: what `rates --format json` prints.

use super::numbers::WithSd;
use crate::rates::{ApartTold, BalanceTold, Judged, Told};
use horology::balance::BalanceFacts;
use horology::findings::Finding;
use horology::isochronism::{Candidate, Match};
use horology::poise::{PoiseAnswer, PoiseFinding, SpringShare};
use horology::rate_sheet::{Cell, Column, Judgement, Verdict, Wind};
use horology::regulator::{Advice, Means, StudTurn};
use serde::Serialize;
use words::regulating as said;

/// A rate sheet and all that follows from it.
#[derive(Debug, Serialize)]
pub(crate) struct RatesResult {
    schema: &'static str,
    clock_sd_s_per_d: f64,
    target_s_per_d: f64,
    near_s_per_d: f64,
    moves_not_seen: usize,
    balances: Vec<BalanceResult>,
    hands_apart: Option<ApartResult>,
}

#[derive(Debug, Serialize)]
struct BalanceResult {
    label: String,
    winds: Vec<WindResult>,
    classes: Vec<ClassResult>,
    poise: PoiseResult,
    isochronism: IsochronismResult,
    findings: Vec<FindingResult>,
    wrist: WristResult,
    next_moves: Vec<MoveResult>,
    stud: Option<StudResult>,
}

#[derive(Debug, Serialize)]
struct WindResult {
    hours_since_wound: f64,
    readings: Vec<ReadingResult>,
    statistics: Vec<StatisticResult>,
}

#[derive(Debug, Serialize)]
struct ReadingResult {
    position: String,
    rate_s_per_d: WithSd,
    amplitude_deg: Option<WithSd>,
    beat_error_ms: Option<WithSd>,
}

#[derive(Debug, Serialize)]
struct StatisticResult {
    code: &'static str,
    #[serde(flatten)]
    value: WithSd,
    unit: &'static str,
    note: String,
}

#[derive(Debug, Serialize)]
struct ClassResult {
    name: String,
    source: String,
    verdict: VerdictResult,
    limits: Vec<LimitResult>,
}

/// Pass, fail or cannot tell.
#[derive(Debug, Clone, Copy, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum VerdictResult {
    Pass,
    Fail,
    CannotTell,
}

/// A limit held against what was found.
#[derive(Debug, Serialize)]
pub(super) struct LimitResult {
    words: String,
    low: Option<f64>,
    high: Option<f64>,
    found: Option<WithSd>,
    /// What the truth hardly lies below and above, 95 in 100 each; null where that is without end.
    least: Option<f64>,
    most: Option<f64>,
    verdict: VerdictResult,
    is_forecast: bool,
}

#[derive(Debug, Serialize)]
struct PoiseResult {
    words: Vec<String>,
    direction_deg: Option<WithSd>,
    direction_from_train_side_deg: Option<f64>,
    sector_half_angle_deg: Option<f64>,
    /// m g r / k, without unit.
    strength: Option<WithSd>,
    moment_over_inertia_per_m: Option<WithSd>,
    positions_disagree: Option<bool>,
    spring_share_s_per_d: Option<WithSd>,
}

#[derive(Debug, Serialize)]
struct IsochronismResult {
    words: Vec<String>,
    flat_s_per_d_per_deg: Option<WithSd>,
    upright_s_per_d_per_deg: Option<WithSd>,
    rate_s_per_d_per_h: Option<WithSd>,
    amplitude_deg_per_h: Option<WithSd>,
    candidates: Vec<CandidateResult>,
}

#[derive(Debug, Serialize)]
struct CandidateResult {
    words: &'static str,
    matches: &'static str,
    would: &'static str,
    test: &'static str,
    source: String,
}

#[derive(Debug, Serialize)]
struct FindingResult {
    words: &'static str,
    is_plain: bool,
    evidence: Vec<String>,
    causes: Vec<SayingResult>,
    next_tests: Vec<TestResult>,
    disputes: Vec<[SayingResult; 2]>,
}

#[derive(Debug, Serialize)]
struct SayingResult {
    words: &'static str,
    source: String,
}

#[derive(Debug, Serialize)]
struct TestResult {
    words: &'static str,
    tells: &'static str,
    source: String,
}

#[derive(Debug, Serialize)]
struct WristResult {
    expected_s_per_d: Option<WithSd>,
    day_to_day_sd_s_per_d: Option<f64>,
    words: String,
}

#[derive(Debug, Serialize)]
struct MoveResult {
    means: &'static str,
    /// Towards faster positive; null where nothing is to be moved.
    amount: Option<f64>,
    expected_s_per_d: Option<WithSd>,
    per_unit_s_per_d: Option<WithSd>,
    is_guess: bool,
    words: String,
    reasons: Vec<String>,
}

#[derive(Debug, Serialize)]
struct StudResult {
    turn_deg: WithSd,
    /// Whether it is known which way; clockwise is then positive.
    is_way_known: bool,
}

#[derive(Debug, Serialize)]
struct ApartResult {
    balances: [String; 2],
    hours_since_wound: f64,
    a_less_b_s_per_d: WithSd,
    words: Vec<String>,
    after: Vec<AfterResult>,
}

#[derive(Debug, Serialize)]
struct AfterResult {
    days: f64,
    ahead_s: WithSd,
}

impl RatesResult {
    pub(crate) fn of(told: &Told) -> Self {
        Self {
            schema: "endshake.rates/1",
            clock_sd_s_per_d: told.clock_sd_s_per_d,
            target_s_per_d: told.target.s_per_d,
            near_s_per_d: told.target.tolerance_s_per_d,
            moves_not_seen: told.moves_not_seen,
            balances: told.balances.iter().map(BalanceResult::of).collect(),
            hands_apart: told.apart.as_ref().map(ApartResult::of),
        }
    }
}

impl BalanceResult {
    fn of(told: &BalanceTold) -> Self {
        Self {
            label: told.letter.clone(),
            winds: told.columns.iter().map(WindResult::of).collect(),
            classes: told.classes.iter().map(ClassResult::of).collect(),
            poise: PoiseResult::of(told),
            isochronism: IsochronismResult::of(told),
            findings: told.findings.iter().map(FindingResult::of).collect(),
            wrist: match &told.wrist {
                Ok((rate, worn)) => WristResult {
                    expected_s_per_d: Some(rate.expected_s_per_d.into()),
                    day_to_day_sd_s_per_d: Some(rate.day_to_day_sd_s_per_d),
                    words: said::wrist(rate, worn),
                },
                Err(why) => WristResult {
                    expected_s_per_d: None,
                    day_to_day_sd_s_per_d: None,
                    words: why.clone(),
                },
            },
            next_moves: told.advice.iter().map(MoveResult::of).collect(),
            stud: told.stud.map(|turn| match turn {
                StudTurn::Known { deg } => StudResult { turn_deg: deg.into(), is_way_known: true },
                StudTurn::EitherWay { deg } => {
                    StudResult { turn_deg: deg.into(), is_way_known: false }
                }
            }),
        }
    }
}

impl WindResult {
    fn of((wind, column): &(Wind, Column)) -> Self {
        let reading = |cell: &Cell| ReadingResult {
            position: cell.stance.to_string(),
            rate_s_per_d: cell.rate_s_per_d.into(),
            amplitude_deg: cell.amplitude_deg.map(WithSd::from),
            beat_error_ms: cell.beat_error_ms.map(WithSd::from),
        };
        let statistic = |one: said::Statistic| StatisticResult {
            code: one.code,
            value: one.value.into(),
            unit: one.unit,
            note: one.note,
        };
        Self {
            hours_since_wound: wind.hours(),
            readings: column.cells().iter().map(reading).collect(),
            statistics: said::statistics(column).into_iter().map(statistic).collect(),
        }
    }
}

impl ClassResult {
    fn of(class: &Judged) -> Self {
        Self {
            name: class.name.clone(),
            source: class.source.clone(),
            verdict: class.outcome.verdict.into(),
            limits: class.outcome.judgements.iter().map(LimitResult::of).collect(),
        }
    }
}

impl LimitResult {
    pub(super) fn of(judged: &Judgement) -> Self {
        let ends = |bound: f64| Some(bound).filter(|bound| bound.is_finite());
        Self {
            words: said::limit(&judged.limit),
            low: judged.limit.low,
            high: judged.limit.high,
            found: judged.found.map(|found| found.measured.into()),
            least: judged.found.and_then(|found| ends(found.least)),
            most: judged.found.and_then(|found| ends(found.most)),
            verdict: judged.verdict.into(),
            is_forecast: judged.is_forecast,
        }
    }
}

impl From<Verdict> for VerdictResult {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Pass => Self::Pass,
            Verdict::Fail => Self::Fail,
            Verdict::CannotTell => Self::CannotTell,
        }
    }
}

impl PoiseResult {
    fn of(told: &BalanceTold) -> Self {
        let finding: &PoiseFinding = match &told.poise {
            Ok(finding) => finding,
            Err(why) => return Self::nothing(why.clone()),
        };
        let facts = BalanceFacts { beat: told.beat, ..BalanceFacts::default() };
        let words = said::poise(finding, &facts).sentences();
        let spot = match finding.answer {
            PoiseAnswer::Told(spot) => Some(spot),
            PoiseAnswer::CannotTell { .. } => None,
        };
        Self {
            words,
            direction_deg: spot.map(|spot| spot.direction_deg.into()),
            direction_from_train_side_deg: spot.map(|spot| spot.direction_from_train_side_deg()),
            sector_half_angle_deg: spot.map(|spot| spot.sector_half_angle_deg()),
            strength: spot.map(|spot| spot.strength.into()),
            moment_over_inertia_per_m: spot
                .zip(told.beat)
                .map(|(spot, beat)| spot.moment_over_inertia_per_m(beat).into()),
            positions_disagree: Some(finding.positions_disagree()),
            spring_share_s_per_d: match finding.spring {
                SpringShare::Separated { gain_s_per_d, .. } => Some(gain_s_per_d.into()),
                SpringShare::NotSeparated { .. } => None,
            },
        }
    }

    fn nothing(why: String) -> Self {
        Self {
            words: vec![why],
            direction_deg: None,
            direction_from_train_side_deg: None,
            sector_half_angle_deg: None,
            strength: None,
            moment_over_inertia_per_m: None,
            positions_disagree: None,
            spring_share_s_per_d: None,
        }
    }
}

impl IsochronismResult {
    fn of(told: &BalanceTold) -> Self {
        let (seen, candidates) = match &told.isochronism {
            Ok(told) => told,
            Err(why) => {
                return Self {
                    words: vec![why.clone()],
                    flat_s_per_d_per_deg: None,
                    upright_s_per_d_per_deg: None,
                    rate_s_per_d_per_h: None,
                    amplitude_deg_per_h: None,
                    candidates: Vec::new(),
                };
            }
        };
        let candidate = |one: &Candidate| CandidateResult {
            words: said::isochronism_cause(one.cause),
            matches: match one.matches {
                Match::Fits => "fits",
                Match::Open => "open",
                Match::Against => "against",
            },
            would: one.would,
            test: one.test,
            source: bibliography::written_out(one.source),
        };
        Self {
            words: said::isochronism(seen, true),
            flat_s_per_d_per_deg: seen.flat_s_per_d_per_deg.map(WithSd::from),
            upright_s_per_d_per_deg: seen.upright_s_per_d_per_deg.map(WithSd::from),
            rate_s_per_d_per_h: seen.rate_s_per_d_per_h.map(WithSd::from),
            amplitude_deg_per_h: seen.amplitude_deg_per_h.map(WithSd::from),
            candidates: candidates.iter().map(candidate).collect(),
        }
    }
}

impl FindingResult {
    fn of(finding: &Finding) -> Self {
        let saying = |cause: &horology::findings::Cause| SayingResult {
            words: cause.words,
            source: bibliography::written_out(cause.source),
        };
        let test = |test: &horology::findings::NextTest| TestResult {
            words: test.words,
            tells: test.tells,
            source: bibliography::written_out(test.source),
        };
        Self {
            words: said::sign(finding.sign),
            is_plain: finding.is_plain(),
            evidence: finding.evidence.iter().map(said::evidence).collect(),
            causes: finding.causes.iter().map(saying).collect(),
            next_tests: finding.next_tests.iter().map(test).collect(),
            disputes: finding.disputes.iter().map(|d| [saying(&d.one), saying(&d.other)]).collect(),
        }
    }
}

impl MoveResult {
    fn of((means, advice): &(Means, Advice)) -> Self {
        let (words, reasons) = said::move_now(advice);
        let next = match advice {
            Advice::Move(next) | Advice::OutOfReach { as_far_as_it_goes: next, .. } => Some(next),
            Advice::Leave { .. } | Advice::ReadLonger { .. } => None,
        };
        Self {
            means: match means {
                Means::Index => "index",
                Means::TimingScrews => "screws",
                Means::Mass => "mass",
            },
            amount: next.map(|next| next.amount),
            expected_s_per_d: next.map(|next| next.expected_s_per_d.into()),
            per_unit_s_per_d: next.map(|next| next.effect.per_unit_s_per_d.into()),
            is_guess: next.is_some_and(|next| next.is_a_guess()),
            words,
            reasons,
        }
    }
}

impl ApartResult {
    fn of(told: &ApartTold) -> Self {
        let [a, b] = &told.letters;
        Self {
            balances: told.letters.clone(),
            hours_since_wound: told.wind.hours(),
            a_less_b_s_per_d: told.found.a_less_b_s_per_d.0.into(),
            words: said::brothers([a, b], &told.found),
            after: told
                .after
                .iter()
                .map(|one| AfterResult { days: one.days, ahead_s: one.a_ahead_s.into() })
                .collect(),
        }
    }
}
