//! Entries as they stand in the files. An unknown key is refused: it is most likely a known one that
//! is spelt wrong, and what it was to say would be lost.

use crate::sources::WhoSaysSo;
use crate::value::{Code, From, Id, Text, Until};
use rebuild::{
    CautionAt, Closes, Expected, Family, ForParts, KindId, LubricantClass, Once, Opens, PartKind,
    Reach, Rule, RuleId, TraitId, TraitWord, What, Window,
};
use serde::Deserialize;

/// `[[kind]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct KindEntry {
    id: Id<KindId>,
    name: Text,
    #[serde(default)]
    words: Vec<Text>,
    definition: Text,
    #[serde(default)]
    ask: Vec<Id<TraitId>>,
    family: Option<Code<Family>>,
}

impl KindEntry {
    /// With the family of its file, where it names none.
    pub(crate) fn into_kind(self, family: Option<Family>) -> Result<PartKind, String> {
        let family = self.family.map(|Code(family)| family).or(family);
        let family = family.ok_or("say to which family the kind belongs")?;
        Ok(PartKind {
            id: self.id.0,
            name: self.name.0,
            other_words: self.words.into_iter().map(|Text(word)| word).collect(),
            family,
            definition: self.definition.0,
            ask: bare(self.ask),
        })
    }
}

/// `[[trait]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct TraitEntry {
    id: Id<TraitId>,
    name: Text,
    definition: Text,
}

impl TraitEntry {
    pub(crate) fn into_trait(self) -> TraitWord {
        TraitWord { id: self.id.0, name: self.name.0, definition: self.definition.0 }
    }
}

/// `[[rule]]`
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct RuleEntry {
    id: Id<RuleId>,
    #[serde(default)]
    kinds: Vec<Id<KindId>>,
    #[serde(default)]
    families: Vec<Code<Family>>,
    #[serde(default)]
    traits: Vec<Id<TraitId>>,
    #[serde(default)]
    unless: Vec<Id<TraitId>>,
    #[serde(default)]
    with_kinds: Vec<Id<KindId>>,
    #[serde(default)]
    without_kinds: Vec<Id<KindId>>,
    once: Option<Code<Once>>,
    reach: Option<Code<Reach>>,
    from: Option<From>,
    until: Option<Until>,
    #[serde(default)]
    sources: Vec<WhoSaysSo>,
    #[serde(default)]
    conflicts: Vec<Id<RuleId>>,
    oil: Option<Oil>,
    treat: Option<Treat>,
    never_oil: Option<NeverOil>,
    check: Option<Check>,
    caution: Option<Caution>,
    before_taking_out: Option<Text>,
    #[serde(default)]
    met_by: Vec<Id<RuleId>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Oil {
    place: Text,
    class: Code<LubricantClass>,
    amount: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Treat {
    what: Text,
    class: Option<Code<LubricantClass>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NeverOil {
    place: Text,
    why: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Check {
    question: Text,
    order: u16,
    #[serde(default)]
    under_power: bool,
    low: Option<f64>,
    high: Option<f64>,
    unit: Option<Text>,
}

impl Check {
    fn into_what(self) -> Result<What, String> {
        let expected = match (self.low, self.high, self.unit) {
            (None, None, None) => None,
            (low, high, Some(unit)) if low.or(high).is_some() => {
                if low.into_iter().chain(high).any(|bound| !bound.is_finite()) {
                    return Err("low and high are numbers".to_owned());
                }
                Some(Expected { low, high, unit: unit.0 })
            }
            _ => return Err("a range has low or high, or both, and a unit".to_owned()),
        };
        let (order, under_power) = (self.order, self.under_power);
        Ok(What::Check { question: self.question.0, expected, order, under_power })
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Caution {
    text: Text,
    at: Code<CautionAt>,
}

impl RuleEntry {
    pub(crate) fn into_rule(self) -> Result<Rule, String> {
        let met_by = bare(self.met_by);
        if !met_by.is_empty() && self.before_taking_out.is_none() {
            return Err("only before-taking-out is met-by another rule".to_owned());
        }
        let asked = [
            self.oil.map(|Oil { place, class, amount }| {
                Ok(What::Oil { place: place.0, class: class.0, amount: amount.0 })
            }),
            self.treat.map(|Treat { what, class }| {
                Ok(What::Treatment { what: what.0, class: class.map(|Code(class)| class) })
            }),
            self.never_oil
                .map(|NeverOil { place, why }| Ok(What::NeverOil { place: place.0, why: why.0 })),
            self.check.map(Check::into_what),
            self.caution.map(|Caution { text, at }| Ok(What::Caution { text: text.0, at: at.0 })),
            self.before_taking_out
                .map(|Text(demand)| Ok(What::BeforeTakingOut { demand, met_by: met_by.clone() })),
        ];
        let mut asked = asked.into_iter().flatten();
        let (Some(what), None) = (asked.next(), asked.next()) else {
            return Err("a rule asks one thing: oil, treat, never-oil, check, caution or \
                        before-taking-out"
                .to_owned());
        };
        let what = what?;
        Ok(Rule {
            id: self.id.0,
            for_parts: ForParts {
                kinds: bare(self.kinds),
                families: self.families.into_iter().map(|Code(family)| family).collect(),
                traits: bare(self.traits),
                unless: bare(self.unless),
                with_kinds: bare(self.with_kinds),
                without_kinds: bare(self.without_kinds),
            },
            once: self.once.map_or(Once::EachPart, |Code(once)| once),
            window: window(&what, self.from, self.until),
            what,
            reach: self.reach.map_or(Reach::OwnSide, |Code(reach)| reach),
            sources: self.sources.into_iter().map(|WhoSaysSo(source)| source).collect(),
            conflicts: bare(self.conflicts),
        })
    }
}

/// Work is done from when its part is in until it is covered, where nothing else is said. What is
/// no work has no window; one that is written for it all the same is kept, so that the check finds
/// it.
fn window(what: &What, from: Option<From>, until: Option<Until>) -> Option<Window> {
    if !what.is_work() && from.is_none() && until.is_none() {
        return None;
    }
    let opens = from.map_or(Opens::Placed, |From(opens)| opens);
    let closes = until.map_or(Closes::BeforeCovered, |Until(closes)| closes);
    Some(Window { opens, closes })
}

fn bare<T>(ids: Vec<Id<T>>) -> Vec<T> {
    ids.into_iter().map(|Id(id)| id).collect()
}
