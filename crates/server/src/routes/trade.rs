use crate::convert::version;
use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::failure::Failure;
use crate::movement::{InForce, rule_words};
use crate::wire::{
    OwnTrade, OwnTradeChange, Problem, RulesOff, RulesOffChange, Trade, TradeRuleList,
};
use axum::Extension;
use axum::extract::State;
use rebuild::RuleId;
use std::collections::BTreeSet;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(get))
        .routes(routes!(rules))
        .routes(routes!(own, change))
        .routes(routes!(off, switch))
}

/// The words of the trade, with what to mind when a part of each kind is taken out.
#[utoipa::path(get, path = "/trade", responses((status = 200, body = Trade)))]
async fn get(State(desk): State<Desk>) -> Result<Json<Trade>, Failure> {
    Ok(Json(desk.trade().await?.shown.clone()))
}

/// Every rule, those that are switched off too, with who says so.
#[utoipa::path(get, path = "/trade/rules", responses((status = 200, body = TradeRuleList)))]
async fn rules(State(desk): State<Desk>) -> Result<Json<TradeRuleList>, Failure> {
    let trade = desk.trade().await?;
    let all = trade.all_rules.all().iter().map(|rule| rule_words(rule, &trade)).collect();
    Ok(Json(TradeRuleList { rules: all }))
}

/// The workshop's own words and rules.
#[utoipa::path(get, path = "/trade/own", responses((status = 200, body = OwnTrade)))]
async fn own(State(desk): State<Desk>) -> Result<Json<OwnTrade>, Failure> {
    Ok(Json(shown(&*desk.trade().await?)))
}

fn shown(trade: &InForce) -> OwnTrade {
    OwnTrade {
        version: version(trade.version),
        text: trade.own.clone(),
        problems: trade.problems.clone(),
    }
}

/// Changes the workshop's own words and rules. What is wrong in them is said; what is right counts.
#[utoipa::path(put, path = "/trade/own", request_body = OwnTradeChange,
    responses((status = 200, body = OwnTrade), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<OwnTradeChange>,
) -> Result<Json<OwnTrade>, Failure> {
    let based_on = i64::from(sent.version);
    let by = asker.by();
    match desk.store.change_setting(&by, store::OWN_RULES, based_on, &sent.text).await {
        Ok(_) => Ok(Json(shown(&*desk.trade().await?))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// The rules that the workshop has switched off.
#[utoipa::path(get, path = "/trade/off", responses((status = 200, body = RulesOff)))]
async fn off(State(desk): State<Desk>) -> Result<Json<RulesOff>, Failure> {
    Ok(Json(told_off(&*desk.trade().await?)))
}

fn told_off(trade: &InForce) -> RulesOff {
    RulesOff {
        version: version(trade.off_version),
        rules: trade.off.iter().map(ToString::to_string).collect(),
    }
}

/// Switches rules off, and those that are not named on again. What was said of their work stays in
/// every log.
#[utoipa::path(put, path = "/trade/off", request_body = RulesOffChange,
    responses((status = 200, body = RulesOff), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn switch(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<RulesOffChange>,
) -> Result<Json<RulesOff>, Failure> {
    let trade = desk.trade().await?;
    // What was off before may be no rule any more, and stays off.
    let known = |id: &RuleId| trade.all_rules.get(id).is_some() || trade.off.contains(id);
    let mut ids: BTreeSet<RuleId> = BTreeSet::new();
    for id in sent.rules {
        let id = RuleId::new(&id).ok().filter(known).ok_or_else(|| {
            let id: String = id.chars().filter(|c| !c.is_control()).take(60).collect();
            Failure::Invalid(format!(
                "There is no rule “{id}” that could be switched off: /trade/rules has the id of each."
            ))
        })?;
        ids.insert(id);
    }
    let lines: Vec<&str> = ids.iter().map(RuleId::as_str).collect();
    let based_on = i64::from(sent.version);
    let by = asker.by();
    match desk.store.change_setting(&by, store::RULES_OFF, based_on, &lines.join("\n")).await {
        Ok(_) => Ok(Json(told_off(&*desk.trade().await?))),
        Err(error) => Err(desk.refused(error).await),
    }
}
