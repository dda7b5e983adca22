//! One form a kind. Ids are UUIDs, days are written as 2026-01-31, codes are those of `jobs`.

use super::lists::{
    Balance, BalanceRead, Condition, DayRate, Line, Move, Related, Settings, TestFigure, Warned,
};
use super::{Ms, Unread, Written, code, hash, of};
use jiff::civil::Date;
use jobs::{
    Adjustment, AdjustmentBy, Answer, Bottle, Currency, Estimate, FinalTest, Id, Job, MediaHash,
    Money, Owner, Part, PartState, Photo, Reading, Template, TestKind, TestOutcome, TestStandard,
    TestWay, Trial, TrialSize, Watch,
};
use quantities::Position;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use uuid::Uuid;

fn many<'a, T: 'a, F: From<&'a T>>(values: &'a [T]) -> Vec<F> {
    values.iter().map(F::from).collect()
}

fn back<F: TryInto<T, Error = Unread>, T>(forms: Vec<F>) -> Result<Vec<T>, Unread> {
    forms.into_iter().map(TryInto::try_into).collect()
}

fn day(text: &str) -> Result<Date, Unread> {
    text.parse().map_err(|_| Unread("a day is written as 2026-01-31".into()))
}

fn maybe_day(text: Option<String>) -> Result<Option<Date>, Unread> {
    text.as_deref().map(day).transpose()
}

fn currency(letters: &str) -> Result<Currency, Unread> {
    Currency::from_letters(letters).map_err(|invalid| Unread(invalid.to_string()))
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnerForm {
    name: String,
    contact: Vec<String>,
    notes: String,
}

impl Written for Owner {
    type Form = OwnerForm;

    fn form(&self) -> OwnerForm {
        let Self { name, contact, notes } = self.clone();
        OwnerForm { name, contact, notes }
    }

    fn from_form(form: OwnerForm) -> Result<Self, Unread> {
        let OwnerForm { name, contact, notes } = form;
        Ok(Self { name, contact, notes })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WatchForm {
    #[serde(with = "crate::forms::maybe_id")]
    owner: Option<Uuid>,
    description: String,
    calibre: String,
    serial_numbers: Vec<String>,
    balances: Vec<Balance>,
    target_s_per_d: Option<f64>,
    movement: String,
    notes: String,
}

impl Written for Watch {
    type Form = WatchForm;

    fn form(&self) -> WatchForm {
        let Self {
            owner,
            description,
            calibre,
            serial_numbers,
            balances,
            target_s_per_d,
            movement,
            notes,
        } = self.clone();
        WatchForm {
            owner: owner.map(of),
            description,
            calibre,
            serial_numbers,
            balances: many(&balances),
            target_s_per_d,
            movement,
            notes,
        }
    }

    fn from_form(form: WatchForm) -> Result<Self, Unread> {
        let WatchForm {
            owner,
            description,
            calibre,
            serial_numbers,
            balances,
            target_s_per_d,
            movement,
            notes,
        } = form;
        Ok(Self {
            owner: owner.map(Id::from_uuid),
            description,
            calibre,
            serial_numbers,
            balances: back(balances)?,
            target_s_per_d,
            movement,
            notes,
        })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobForm {
    #[serde(with = "crate::forms::id")]
    watch: Uuid,
    number: u32,
    complaint: String,
    condition: Vec<Condition>,
    notes: String,
    due: Option<String>,
    moves: Vec<Move>,
    handed_over_ms: Option<Ms>,
    to_watch: String,
    next_service: Option<String>,
}

impl Written for Job {
    type Form = JobForm;

    fn form(&self) -> JobForm {
        let Self {
            watch,
            number,
            complaint,
            condition,
            notes,
            due,
            moves,
            handed_over,
            to_watch,
            next_service,
        } = self.clone();
        JobForm {
            watch: of(watch),
            number,
            complaint,
            condition: many(&condition),
            notes,
            due: due.map(|day| day.to_string()),
            moves: many(&moves),
            handed_over_ms: handed_over.map(Ms::of),
            to_watch,
            next_service: next_service.map(|when| when.to_string()),
        }
    }

    fn from_form(form: JobForm) -> Result<Self, Unread> {
        let JobForm {
            watch,
            number,
            complaint,
            condition,
            notes,
            due,
            moves,
            handed_over_ms,
            to_watch,
            next_service,
        } = form;
        let when = |text: String| {
            text.parse().map_err(|error: jobs::NeitherDayNorMonth| Unread(error.to_string()))
        };
        Ok(Self {
            watch: Id::from_uuid(watch),
            number,
            complaint,
            condition: back(condition)?,
            notes,
            due: maybe_day(due)?,
            moves: back(moves)?,
            handed_over: handed_over_ms.map(Ms::moment),
            to_watch,
            next_service: next_service.map(when).transpose()?,
        })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MoneyForm {
    minor_units: i64,
    currency: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    what: String,
    quantity: u32,
    supplier: String,
    state: String,
    cost: Option<MoneyForm>,
}

impl Written for Part {
    type Form = PartForm;

    fn form(&self) -> PartForm {
        let Self { job, what, quantity, supplier, state, cost } = self.clone();
        let cost = cost.map(|Money { minor_units, currency }| MoneyForm {
            minor_units,
            currency: currency.to_string(),
        });
        PartForm { job: of(job), what, quantity, supplier, state: state.code().into(), cost }
    }

    fn from_form(form: PartForm) -> Result<Self, Unread> {
        let PartForm { job, what, quantity, supplier, state, cost } = form;
        let money = |MoneyForm { minor_units, currency: letters }| {
            Ok::<_, Unread>(Money { minor_units, currency: currency(&letters)? })
        };
        Ok(Self {
            job: Id::from_uuid(job),
            what,
            quantity,
            supplier,
            state: code(PartState::from_code(&state), &state)?,
            cost: cost.map(money).transpose()?,
        })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EstimateForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    currency: String,
    lines: Vec<Line>,
    answer: String,
    answered_ms: Option<Ms>,
}

impl Written for Estimate {
    type Form = EstimateForm;

    fn form(&self) -> EstimateForm {
        let Self { job, currency, lines, answer, answered } = self;
        EstimateForm {
            job: of(*job),
            currency: currency.to_string(),
            lines: many(lines),
            answer: answer.code().into(),
            answered_ms: answered.map(Ms::of),
        }
    }

    fn from_form(form: EstimateForm) -> Result<Self, Unread> {
        let EstimateForm { job, currency: letters, lines, answer, answered_ms } = form;
        Ok(Self {
            job: Id::from_uuid(job),
            currency: currency(&letters)?,
            lines: back(lines)?,
            answer: code(Answer::from_code(&answer), &answer)?,
            answered: answered_ms.map(Ms::moment),
        })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    media: String,
    caption: String,
    width_px: u32,
    height_px: u32,
    taken_ms: Ms,
}

impl Written for Photo {
    type Form = PhotoForm;

    fn form(&self) -> PhotoForm {
        let Self { job, media, caption, width_px, height_px, taken } = self.clone();
        let (media, taken_ms) = (media.to_string(), Ms::of(taken));
        PhotoForm { job: of(job), media, caption, width_px, height_px, taken_ms }
    }

    fn from_form(form: PhotoForm) -> Result<Self, Unread> {
        let PhotoForm { job, media, caption, width_px, height_px, taken_ms } = form;
        let (media, taken) = (hash(&media)?, taken_ms.moment());
        Ok(Self { job: Id::from_uuid(job), media, caption, width_px, height_px, taken })
    }

    fn media(&self) -> Option<MediaHash> {
        Some(self.media)
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    position: Option<String>,
    wind: String,
    taken_ms: Ms,
    duration_s: f64,
    device: String,
    settings: Settings,
    program: String,
    sound: Option<String>,
    balances: Vec<BalanceRead>,
    relation: Option<Related>,
    lost_samples: u64,
    warnings: Vec<Warned>,
    note: String,
}

impl Written for Reading {
    type Form = ReadingForm;

    fn form(&self) -> ReadingForm {
        let Self {
            job,
            position,
            wind,
            taken,
            duration_s,
            device,
            settings,
            program,
            sound,
            balances,
            relation,
            lost_samples,
            warnings,
            note,
        } = self.clone();
        ReadingForm {
            job: of(job),
            position: position.map(|position| position.symbol().to_owned()),
            wind,
            taken_ms: Ms::of(taken),
            duration_s,
            device,
            settings: Settings::from(&settings),
            program,
            sound: sound.map(|sound| sound.to_string()),
            balances: many(&balances),
            relation: relation.as_ref().map(Related::from),
            lost_samples,
            warnings: many(&warnings),
            note,
        }
    }

    fn from_form(form: ReadingForm) -> Result<Self, Unread> {
        let ReadingForm {
            job,
            position,
            wind,
            taken_ms,
            duration_s,
            device,
            settings,
            program,
            sound,
            balances,
            relation,
            lost_samples,
            warnings,
            note,
        } = form;
        let position = position.as_deref().map(|symbol| code(Position::of_symbol(symbol), symbol));
        Ok(Self {
            job: Id::from_uuid(job),
            position: position.transpose()?,
            wind,
            taken: taken_ms.moment(),
            duration_s,
            device,
            settings: settings.into(),
            program,
            sound: sound.as_deref().map(hash).transpose()?,
            balances: back(balances)?,
            relation: relation.map(TryInto::try_into).transpose()?,
            lost_samples,
            warnings: back(warnings)?,
            note,
        })
    }

    fn media(&self) -> Option<MediaHash> {
        self.sound
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TemplateForm {
    name: String,
    note: String,
    log: String,
}

impl Written for Template {
    type Form = TemplateForm;

    fn form(&self) -> TemplateForm {
        let Self { name, note, log } = self.clone();
        TemplateForm { name, note, log }
    }

    fn from_form(form: TemplateForm) -> Result<Self, Unread> {
        let TemplateForm { name, note, log } = form;
        Ok(Self { name, note, log })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BottleForm {
    class: String,
    name: String,
    opened: Option<String>,
    expires: Option<String>,
    note: String,
    used_up: bool,
}

impl Written for Bottle {
    type Form = BottleForm;

    fn form(&self) -> BottleForm {
        let Self { class, name, opened, expires, note, used_up } = self.clone();
        let (opened, expires) =
            (opened.map(|day| day.to_string()), expires.map(|day| day.to_string()));
        BottleForm { class, name, opened, expires, note, used_up }
    }

    fn from_form(form: BottleForm) -> Result<Self, Unread> {
        let BottleForm { class, name, opened, expires, note, used_up } = form;
        let (opened, expires) = (maybe_day(opened)?, maybe_day(expires)?);
        Ok(Self { class, name, opened, expires, note, used_up })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdjustmentForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    balance: String,
    at_ms: Ms,
    by: String,
    amount: Option<f64>,
    note: String,
}

impl Written for Adjustment {
    type Form = AdjustmentForm;

    fn form(&self) -> AdjustmentForm {
        let Self { job, balance, at, by, amount, note } = self.clone();
        let by = by.code().into();
        AdjustmentForm { job: of(job), balance, at_ms: Ms::of(at), by, amount, note }
    }

    fn from_form(form: AdjustmentForm) -> Result<Self, Unread> {
        let AdjustmentForm { job, balance, at_ms, by, amount, note } = form;
        let by = code(AdjustmentBy::from_code(&by), &by)?;
        Ok(Self { job: Id::from_uuid(job), balance, at: at_ms.moment(), by, amount, note })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrialForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    balance: String,
    size: String,
    begun_ms: Ms,
    rate_sd_s_per_d: f64,
    days: Vec<Option<DayRate>>,
    note: String,
}

impl Written for Trial {
    type Form = TrialForm;

    fn form(&self) -> TrialForm {
        let Self { job, balance, size, begun, rate_sd_s_per_d, days, note } = self.clone();
        TrialForm {
            job: of(job),
            balance,
            size: size.code().into(),
            begun_ms: Ms::of(begun),
            rate_sd_s_per_d,
            days: days.iter().map(|rate| rate.as_ref().map(DayRate::from)).collect(),
            note,
        }
    }

    fn from_form(form: TrialForm) -> Result<Self, Unread> {
        let TrialForm { job, balance, size, begun_ms, rate_sd_s_per_d, days, note } = form;
        let found = days.len();
        let days: Vec<_> = days.into_iter().map(|rate| rate.map(Into::into)).collect();
        let days = days.try_into().map_err(|_| {
            Unread(format!("a trial has {found} days; there must be {}", Self::DAYS))
        })?;
        Ok(Self {
            job: Id::from_uuid(job),
            balance,
            size: code(TrialSize::from_code(&size), &size)?,
            begun: begun_ms.moment(),
            rate_sd_s_per_d,
            days,
            note,
        })
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FinalTestForm {
    #[serde(with = "crate::forms::id")]
    job: Uuid,
    balance: String,
    kind: String,
    way: Option<String>,
    standard: String,
    what: String,
    instrument: String,
    conditions: String,
    done_ms: Ms,
    figures: BTreeMap<String, TestFigure>,
    signs: BTreeMap<String, bool>,
    photos: Vec<String>,
    readings: Vec<String>,
    outcome: String,
    note: String,
}

fn ids<T>(ids: &[Id<T>]) -> Vec<String> {
    ids.iter().map(ToString::to_string).collect()
}

fn read_ids<T>(texts: &[String]) -> Result<Vec<Id<T>>, Unread> {
    texts.iter().map(|text| code(text.parse().ok(), text)).collect()
}

impl Written for FinalTest {
    type Form = FinalTestForm;

    fn form(&self) -> FinalTestForm {
        let Self {
            job,
            balance,
            kind,
            way,
            standard,
            what,
            instrument,
            conditions,
            done,
            figures,
            signs,
            photos,
            readings,
            outcome,
            note,
        } = self.clone();
        FinalTestForm {
            job: of(job),
            balance,
            kind: kind.code().into(),
            way: way.map(|way| way.code().into()),
            standard: standard.code().into(),
            what,
            instrument,
            conditions,
            done_ms: Ms::of(done),
            figures: figures.iter().map(|(code, figure)| (code.clone(), figure.into())).collect(),
            signs,
            photos: ids(&photos),
            readings: ids(&readings),
            outcome: outcome.code().into(),
            note,
        }
    }

    fn from_form(form: FinalTestForm) -> Result<Self, Unread> {
        let FinalTestForm {
            job,
            balance,
            kind,
            way,
            standard,
            what,
            instrument,
            conditions,
            done_ms,
            figures,
            signs,
            photos,
            readings,
            outcome,
            note,
        } = form;
        Ok(Self {
            job: Id::from_uuid(job),
            balance,
            kind: code(TestKind::from_code(&kind), &kind)?,
            way: way.map(|way| code(TestWay::from_code(&way), &way)).transpose()?,
            standard: code(TestStandard::from_code(&standard), &standard)?,
            what,
            instrument,
            conditions,
            done: done_ms.moment(),
            figures: figures.into_iter().map(|(code, figure)| (code, figure.into())).collect(),
            signs,
            photos: read_ids(&photos)?,
            readings: read_ids(&readings)?,
            outcome: code(TestOutcome::from_code(&outcome), &outcome)?,
            note,
        })
    }
}
