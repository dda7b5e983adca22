//! What is to be minded while a plan is followed, each thing once: a caution that stands everywhere is
//! read nowhere.

use crate::{
    Action, Advice, CautionAt, Group, Once, Plan, Rule, RuleId, Rules, State, StepId, Vocabulary,
    Work, WorkItem, advice,
};
use std::collections::{HashMap, HashSet};

/// What to mind with each action of a plan, and what was to be minded on the way to it.
#[derive(Debug, Clone, Default)]
pub struct Minded<'a> {
    /// For each action of the plan, the steps that are taken in hand or placed, with what to mind.
    at: Vec<Vec<(StepId, Advice<'a>)>>,
    by_step: HashMap<StepId, Advice<'a>>,
}

impl<'a> Minded<'a> {
    /// What to mind when this plan is followed from what holds now. What is to be minded in hand is
    /// told with the first thing that is done in hand, or else when the part goes in; what a rule
    /// says once for a group or the movement, with the first step of it. What was told with steps
    /// that are in is not told again. `work` and `plan` must have been made of this state.
    #[must_use]
    pub fn of(
        state: &'a State,
        rules: &'a Rules,
        vocabulary: &Vocabulary,
        work: &Work,
        plan: &Plan,
    ) -> Self {
        let mut telling =
            Telling { state, rules, vocabulary, told: Told::default(), in_hand: HashSet::new() };
        let mut minded = Self::default();
        for moment in so_far(state, work) {
            minded.keep(telling.at(&moment));
        }
        for action in plan.actions() {
            let now = match action {
                Action::Turn { .. } => Vec::new(),
                Action::Place { step } => telling.at(&Moment::Placed(*step)),
                Action::Do { work: which } => match work.item(which).filter(|item| item.in_hand) {
                    Some(item) => telling.at(&Moment::InHand(item)),
                    None => Vec::new(),
                },
            };
            minded.keep(now.clone());
            minded.at.push(now);
        }
        minded
    }

    /// What to mind with this action of the plan, for each step that is then taken in hand or placed.
    #[must_use]
    pub fn at(&self, action: usize) -> &[(StepId, Advice<'a>)] {
        self.at.get(action).map_or(&[], Vec::as_slice)
    }

    /// What to mind with this step on the whole way, in hand and when it is placed.
    #[must_use]
    pub fn of_step(&self, step: StepId) -> Option<&Advice<'a>> {
        self.by_step.get(&step)
    }

    fn keep(&mut self, all: Vec<(StepId, Advice<'a>)>) {
        for (step, advice) in all {
            let known = self.by_step.entry(step).or_default();
            known.cautions.extend(advice.cautions);
            known.never_oil.extend(advice.never_oil);
            known.left_handed.extend(advice.left_handed);
            known.hand_unknown.extend(advice.hand_unknown);
            known.under_tension |= advice.under_tension;
        }
    }
}

/// A moment at which something is minded.
enum Moment<'a> {
    /// Work is done in hand.
    InHand(&'a WorkItem),
    /// A step goes in.
    Placed(StepId),
}

/// The moments that have passed, in their order.
fn so_far<'a>(state: &State, work: &'a Work) -> Vec<Moment<'a>> {
    let placed = state
        .steps()
        .filter_map(|step| step.placed.as_ref().map(|made| (made.seq, Moment::Placed(step.id))));
    let in_hand = work.items().iter().filter(|item| item.in_hand).filter_map(|item| {
        let first = state.said_of(&item.work).first()?;
        Some((first.made.seq, Moment::InHand(item)))
    });
    let mut all: Vec<(usize, Moment<'_>)> = placed.chain(in_hand).collect();
    all.sort_by_key(|(seq, _)| *seq);
    all.into_iter().map(|(_, moment)| moment).collect()
}

struct Telling<'a, 'b> {
    state: &'a State,
    rules: &'a Rules,
    vocabulary: &'b Vocabulary,
    told: Told<'a>,
    /// Steps of which all was told that is to be minded in hand.
    in_hand: HashSet<StepId>,
}

impl<'a> Telling<'a, '_> {
    fn at(&mut self, moment: &Moment<'_>) -> Vec<(StepId, Advice<'a>)> {
        match moment {
            Moment::Placed(step) => vec![(*step, self.placed(*step))],
            Moment::InHand(item) => {
                let parts = item.parts.iter().filter_map(|part| self.state.part(*part));
                let steps: Vec<StepId> = parts.map(|part| part.step).collect();
                let steps = steps.into_iter().filter_map(|step| Some((step, self.in_hand(step)?)));
                steps.collect()
            }
        }
    }

    /// What to mind in hand; none where it was told.
    fn in_hand(&mut self, step: StepId) -> Option<Advice<'a>> {
        if !self.in_hand.insert(step) {
            return None;
        }
        let all = self.advice(step, CautionAt::InHand);
        // Screws and tension are met when it goes in.
        let Advice { cautions, never_oil, .. } = all;
        Some(self.new_ones(step, Advice { cautions, never_oil, ..Advice::default() }))
    }

    fn placed(&mut self, step: StepId) -> Advice<'a> {
        let before = self.in_hand(step);
        let mut placing = self.advice(step, CautionAt::Placing);
        placing.never_oil.clear();
        let mut placing = self.new_ones(step, placing);
        if let Some(mut before) = before {
            before.cautions.append(&mut placing.cautions);
            placing.cautions = before.cautions;
            placing.never_oil = before.never_oil;
        }
        placing
    }

    fn advice(&self, step: StepId, at: CautionAt) -> Advice<'a> {
        advice(self.state, self.rules, self.vocabulary, step, at)
    }

    fn new_ones(&mut self, step: StepId, mut advice: Advice<'a>) -> Advice<'a> {
        let groups = self.state.step(step).map_or(&[][..], |step| &step.groups);
        advice.cautions.retain(|rule| self.told.is_new(rule, groups));
        advice.never_oil.retain(|rule| self.told.is_new(rule, groups));
        advice
    }
}

/// Rules that were told, and of which group; none: of the movement.
#[derive(Default)]
struct Told<'a>(HashSet<(&'a RuleId, Option<&'a Group>)>);

impl<'a> Told<'a> {
    /// Whether a rule is still to be told with a step of these groups.
    fn is_new(&mut self, rule: &'a Rule, groups: &'a [Group]) -> bool {
        match rule.once {
            Once::EachPart => true,
            Once::EachGroup if !groups.is_empty() => {
                let new = groups.iter().filter(|group| self.0.insert((&rule.id, Some(group))));
                new.count() > 0
            }
            Once::EachGroup | Once::Movement => self.0.insert((&rule.id, None)),
        }
    }
}
