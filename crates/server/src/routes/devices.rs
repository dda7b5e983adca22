use super::DONE;
use crate::access::{cookie, new_secret};
use crate::convert::{moment, role, role_wished};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path};
use crate::failure::Failure;
use crate::network::addresses;
use crate::wire::{Device, DeviceList, DeviceRole, Join, JoinCode, Joined, Problem};
use axum::Extension;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use jobs::Moment;
use std::net::IpAddr;
use std::time::Instant;
use store::{By, CodeRefused, DeviceId};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// How long a code holds, ms: long enough to fetch the phone.
const CODE_HOLDS_MS: i64 = 5 * 60_000;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(new_code))
        .routes(routes!(join))
        .routes(routes!(list))
        .routes(routes!(give_role, turn_out))
}

/// Makes a code with which one device may join, once and in one role, and opens the door to the network where it is
/// still shut.
#[utoipa::path(post, path = "/join-codes", request_body = DeviceRole,
    responses((status = 201, body = JoinCode), (status = 403, body = Problem)))]
async fn new_code(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<DeviceRole>,
) -> Result<(StatusCode, Json<JoinCode>), Failure> {
    asker.must_be_local()?;
    let open = desk.network.open(&desk).await?;
    let code = new_secret().map_err(|e| Failure::Ours(e.to_string()))?;
    let now = asker.by().at;
    let expires = Moment::from_ms(now.ms() + CODE_HOLDS_MS);
    // Behind the #, the code is never sent by itself nor written into any log.
    let urls: Vec<String> = addresses()
        .iter()
        .map(|ip| format!("https://{}:{}/#/join/{code}", shown(ip), open.port))
        .collect();
    if urls.is_empty() {
        let words = "This machine is in no network: connect it to the phone's first.";
        return Err(Failure::NotNow(words.into()));
    }
    let qr_svgs: Option<Vec<String>> = urls.iter().map(|url| qr(url)).collect();
    let qr_svgs = qr_svgs.ok_or_else(|| Failure::Ours("the QR code cannot be made".into()))?;
    desk.store.keep_join_code(&code, role_wished(sent.role), now, expires).await?;
    let made = JoinCode {
        qr_svg: qr_svgs.first().cloned().unwrap_or_default(),
        qr_svgs,
        urls,
        expires_at: moment(expires),
        certificate_sha256: Some(open.certificate_sha256),
    };
    Ok((StatusCode::CREATED, Json(made)))
}

fn shown(ip: &IpAddr) -> String {
    match ip {
        IpAddr::V4(v4) => v4.to_string(),
        IpAddr::V6(v6) => format!("[{v6}]"),
    }
}

fn qr(text: &str) -> Option<String> {
    use fast_qr::convert::svg::SvgBuilder;
    let code = fast_qr::QRBuilder::new(text).build().ok()?;
    Some(SvgBuilder::default().to_str(&code))
}

/// Lets a device join with a code.
#[utoipa::path(post, path = "/join", request_body = Join,
    responses((status = 201, body = Joined), (status = 403, body = Problem), (status = 429, body = Problem)))]
async fn join(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<Join>,
) -> Result<Response, Failure> {
    if !desk.guesses.may_guess(asker.address, Instant::now()) {
        return Err(Failure::TooManyGuesses);
    }
    let token = new_secret().map_err(|e| Failure::Ours(e.to_string()))?;
    let by = By::now(sent.name.trim());
    if by.device.eq_ignore_ascii_case(&desk.bench.name) {
        let words = format!(
            "“{}” is this machine itself: call the device something else.",
            desk.bench.name
        );
        return Err(Failure::Invalid(words));
    }
    match desk.store.join(&by, sent.code.trim(), &token).await {
        Ok(device) => {
            let joined = Joined { device: wire(&device) };
            let cookie = [(header::SET_COOKIE, cookie(&token))];
            Ok((StatusCode::CREATED, cookie, Json(joined)).into_response())
        }
        Err(CodeRefused::Store(error)) => Err(error.into()),
        Err(refused) => {
            desk.guesses.was_wrong(asker.address, Instant::now());
            Err(Failure::WrongCode(refused.to_string()))
        }
    }
}

fn wire(device: &store::Device) -> Device {
    Device {
        id: device.id.0.to_string(),
        name: device.name.clone(),
        role: role(device.role),
        joined_at: moment(device.joined),
        seen_at: device.last_seen.map(moment),
    }
}

/// Who has joined and was not turned out, the last joined first.
#[utoipa::path(get, path = "/devices", responses((status = 200, body = DeviceList)))]
async fn list(State(desk): State<Desk>) -> Result<Json<DeviceList>, Failure> {
    let devices = desk.store.devices().await?;
    let in_now = devices.iter().filter(|device| device.turned_out.is_none());
    Ok(Json(DeviceList { devices: in_now.map(wire).collect() }))
}

/// Gives a device another role. What it has open ends: it begins anew as what it is now.
#[utoipa::path(patch, path = "/devices/{id}", params(("id" = String, Path)), request_body = DeviceRole,
    responses((status = 200, body = Device), (status = 403, body = Problem), (status = 404, body = Problem)))]
async fn give_role(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<DeviceRole>,
) -> Result<Json<Device>, Failure> {
    asker.must_be_local()?;
    let role = role_wished(sent.role);
    let device = desk.store.give_role(&asker.by(), device_id(&path)?, role).await?;
    Ok(Json(wire(&device)))
}

fn device_id(path: &str) -> Result<DeviceId, Failure> {
    Ok(DeviceId(crate::convert::id::<::jobs::Job>(path)?.uuid()))
}

/// Turns a device out.
#[utoipa::path(delete, path = "/devices/{id}", params(("id" = String, Path)),
    responses((status = 204), (status = 403, body = Problem)))]
async fn turn_out(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    asker.must_be_local()?;
    desk.store.turn_out(&asker.by(), device_id(&path)?).await?;
    Ok(DONE)
}
