//! What is to be minded at the step itself: cautions, what must not be oiled, left-handed screws,
//! and what must have been done before something may come out.

use crate::matching::{Seen, is_for};
use crate::{
    CautionAt, Group, Once, PartId, Rule, RuleId, Rules, Said, Screws, State, Step, StepId,
    TakenOut, ThreadHand, Vocabulary, What, WorkOn, WorkRecord, WorkRef,
};

/// What to mind while something is taken out, handled or placed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Advice<'a> {
    /// Rules that caution at this moment.
    pub cautions: Vec<&'a Rule>,
    /// Rules that say where no oil may come.
    pub never_oil: Vec<&'a Rule>,
    /// Screws that turn the other way: loosened clockwise, tightened counter-clockwise.
    pub left_handed: Vec<&'a Screws>,
    /// Screws whose hand is not known.
    pub hand_unknown: Vec<&'a Screws>,
    /// It is under tension.
    pub under_tension: bool,
}

/// What speaks against taking something out now, and what to mind while doing it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TakingOut<'a> {
    /// What must have been done before and is not said to be: each is to be entered as done, or
    /// skipped with a reason, under this name.
    pub demands: Vec<(WorkRef, &'a Rule)>,
    /// What to mind.
    pub advice: Advice<'a>,
}

/// What to mind with what came out in a step, at this moment of putting it together.
#[must_use]
pub fn advice<'a>(
    state: &'a State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    step: StepId,
    at: CautionAt,
) -> Advice<'a> {
    let Some(step) = state.step(step) else { return Advice::default() };
    let parts: Vec<Seen<'_>> =
        state.parts_of(step).map(|part| Seen::new(&part.part, Some(step))).collect();
    let screws = step.screws.iter().map(|set| &set.screws);
    mind(state, rules, vocabulary, &parts, screws, at)
}

/// What speaks against taking out what is about to be entered. Which kinds the movement holds is
/// judged from what has come out so far.
///
/// A demand counts as met when it, or another that meets it, was entered as done for the movement or
/// for every group concerned, or it was skipped, and no check under power was made since.
#[must_use]
pub fn taking_out<'a>(
    state: &State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    out: &'a TakenOut,
) -> TakingOut<'a> {
    let left_handed_screws = out.screws.iter().any(|set| set.thread == ThreadHand::Left);
    let parts: Vec<Seen<'_>> = out
        .parts
        .iter()
        .map(|part| Seen {
            left_handed_screws,
            under_tension: out.under_tension,
            ..Seen::new(part, None)
        })
        .collect();
    TakingOut {
        demands: demands(state, rules, vocabulary, &parts, &out.groups),
        advice: mind(state, rules, vocabulary, &parts, out.screws.iter(), CautionAt::TakingOut),
    }
}

/// What speaks against taking out once more what was placed already; as [`taking_out`].
#[must_use]
pub fn taking_out_again<'a>(
    state: &'a State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    step: &'a Step,
) -> TakingOut<'a> {
    let parts: Vec<Seen<'_>> =
        state.parts_of(step).map(|part| Seen::new(&part.part, Some(step))).collect();
    TakingOut {
        demands: demands(state, rules, vocabulary, &parts, &step.groups),
        advice: advice(state, rules, vocabulary, step.id, CautionAt::TakingOut),
    }
}

fn mind<'a>(
    state: &State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    parts: &[Seen<'_>],
    screws: impl Iterator<Item = &'a Screws> + Clone,
    moment: CautionAt,
) -> Advice<'a> {
    let holds = |rule: &&Rule| parts.iter().any(|part| is_for(rule, part, state, vocabulary));
    let such = |wanted: fn(&What, CautionAt) -> bool| {
        let rules = rules.all().iter().filter(move |rule| wanted(&rule.what, moment));
        rules.filter(holds).collect()
    };
    let of_hand = |hand: ThreadHand| screws.clone().filter(|set| set.thread == hand).collect();
    Advice {
        cautions: such(|what, at| matches!(what, What::Caution { at: when, .. } if *when == at)),
        never_oil: such(|what, _| matches!(what, What::NeverOil { .. })),
        left_handed: of_hand(ThreadHand::Left),
        hand_unknown: of_hand(ThreadHand::Unknown),
        under_tension: parts.iter().any(|part| part.under_tension),
    }
}

fn demands<'a>(
    state: &State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    parts: &[Seen<'_>],
    groups: &[Group],
) -> Vec<(WorkRef, &'a Rule)> {
    let meeting = Meeting::new(state, rules);
    let met = |rule: &Rule, on: WorkOn| meeting.by(rule, &on).is_some();
    let mut demands = Vec::new();
    for rule in rules.all() {
        if !matches!(rule.what, What::BeforeTakingOut { .. })
            || !parts.iter().any(|part| is_for(rule, part, state, vocabulary))
            || met(rule, WorkOn::Movement)
        {
            continue;
        }
        let demand = |on: WorkOn| (WorkRef { rule: rule.id.clone(), on }, rule);
        let known = state.groups();
        let concerned = if groups.is_empty() { &known[..] } else { groups };
        if rule.once == Once::Movement || concerned.is_empty() {
            demands.push(demand(WorkOn::Movement));
        } else {
            let open = concerned.iter().filter(|group| !met(rule, WorkOn::Group((*group).clone())));
            demands.extend(open.map(|group| demand(WorkOn::Group(group.clone()))));
        }
    }
    demands
}

/// A demand that is met.
#[derive(Debug, Clone, PartialEq)]
pub struct Met<'a> {
    /// Which demand, for what.
    pub work: WorkRef,
    /// Its rule.
    pub rule: &'a Rule,
    /// The rule that was followed: its own, or one of which it says that it meets it too.
    pub by: &'a RuleId,
    /// What was said of that.
    pub said: &'a WorkRecord,
}

/// The demands before taking something out that are met now, in the order of the rules: done, or
/// left undone with a reason, or met by another that was done; and the spring not wound since.
#[must_use]
pub fn demands_met<'a>(state: &'a State, rules: &'a Rules) -> Vec<Met<'a>> {
    let meeting = Meeting::new(state, rules);
    let mut all = Vec::new();
    for rule in rules.all() {
        let What::BeforeTakingOut { met_by, .. } = &rule.what else { continue };
        let of_rule = |work: &&WorkRef| work.rule == rule.id || met_by.contains(&work.rule);
        let mut ons: Vec<&WorkOn> =
            state.work.keys().filter(of_rule).map(|work| &work.on).collect();
        ons.sort();
        ons.dedup();
        all.extend(ons.into_iter().filter_map(|on| {
            let (by, said) = meeting.by(rule, on)?;
            let work = WorkRef { rule: rule.id.clone(), on: on.clone() };
            Some(Met { work, rule, by, said })
        }));
    }
    all
}

/// What meets demands.
struct Meeting<'a> {
    state: &'a State,
    /// When the spring was last wound for a check under power.
    wound: Option<usize>,
}

impl<'a> Meeting<'a> {
    fn new(state: &'a State, rules: &Rules) -> Self {
        let under_power = rules
            .all()
            .iter()
            .filter(|rule| matches!(rule.what, What::Check { under_power: true, .. }));
        let wound = under_power
            .flat_map(|rule| state.work.iter().filter(|(work, _)| work.rule == rule.id))
            .flat_map(|(_, records)| records)
            .filter(|record| !matches!(record.said, Said::Skipped { .. }))
            .map(|record| record.made.seq)
            .max();
        Self { state, wound }
    }

    /// By which rule a demand is met, and what was said of it. Another rule meets it only when it
    /// was done: who has a reason to leave the one undone may have none to leave the other.
    fn by(&self, rule: &'a Rule, on: &WorkOn) -> Option<(&'a RuleId, &'a WorkRecord)> {
        let What::BeforeTakingOut { met_by, .. } = &rule.what else { return None };
        let counts = |id: &RuleId| {
            let said = self.state.said_of(&WorkRef { rule: id.clone(), on: on.clone() });
            said.last().filter(|last| {
                last.settles() && self.wound.is_none_or(|wound| last.made.seq > wound)
            })
        };
        if let Some(said) = counts(&rule.id) {
            return Some((&rule.id, said));
        }
        met_by.iter().find_map(|id| {
            let said = counts(id).filter(|said| matches!(said.said, Said::Done { .. }))?;
            Some((id, said))
        })
    }
}

/// Rules that say where no oil may come on this part.
#[must_use]
pub fn never_oil<'a>(
    state: &State,
    rules: &'a Rules,
    vocabulary: &Vocabulary,
    part: PartId,
) -> Vec<&'a Rule> {
    let Some(part) = state.part(part) else { return Vec::new() };
    let seen = Seen::new(&part.part, state.step(part.step));
    let never = rules.all().iter().filter(|rule| matches!(rule.what, What::NeverOil { .. }));
    never.filter(|rule| is_for(rule, &seen, state, vocabulary)).collect()
}
