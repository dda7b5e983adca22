use crate::convert::version;
use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::failure::Failure;
use crate::movement::{InForce, rule_words};
use crate::wire::{OwnTrade, OwnTradeChange, Problem, Trade, TradeRuleList};
use axum::Extension;
use axum::extract::State;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(get)).routes(routes!(rules)).routes(routes!(own, change))
}

/// The words of the trade, with what to mind when a part of each kind is taken out.
#[utoipa::path(get, path = "/trade", responses((status = 200, body = Trade)))]
async fn get(State(desk): State<Desk>) -> Result<Json<Trade>, Failure> {
    Ok(Json(desk.trade().await?.shown.clone()))
}

/// Every rule in force, with who says so.
#[utoipa::path(get, path = "/trade/rules", responses((status = 200, body = TradeRuleList)))]
async fn rules(State(desk): State<Desk>) -> Result<Json<TradeRuleList>, Failure> {
    let trade = desk.trade().await?;
    let InForce { rules, vocabulary, .. } = &*trade;
    let all = rules.all().iter().map(|rule| rule_words(rule, rules, vocabulary)).collect();
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
