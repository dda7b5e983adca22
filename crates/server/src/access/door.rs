//! Every request passes here first.

use super::{Door, Refusal, check_origin, least};
use crate::desk::{Asker, Desk};
use crate::failure::Failure;
use axum::extract::{ConnectInfo, MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::time::Duration;

/// The cookie by which a device that joined is known.
pub(crate) const COOKIE: &str = "endshake_device";
/// How long a browser keeps it: a year.
const COOKIE_S: u64 = 365 * 24 * 3_600;

/// Through which door a router's requests come, and at which port.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Through {
    pub(crate) door: Door,
    pub(crate) port: u16,
}

/// Lets in what is meant for us and comes from our own page, and notes who asks.
pub(crate) async fn pass(
    State((desk, through)): State<(Desk, Through)>,
    mut request: Request,
    next: Next,
) -> Response {
    let ours = addresses(through.door);
    if let Err(refusal) = check_origin(
        (request.method(), request.uri()),
        request.headers(),
        through.door,
        &ours,
        through.port,
    ) {
        let words = match refusal {
            Refusal::Host => {
                "This address is not one of this program's: open the page at the address that it \
                 printed when it started."
            }
            Refusal::Origin => "Only this program's own page may ask for this.",
        };
        return turned_away(request, Failure::NotOurs(words)).await;
    }
    let asker = match through.door {
        Door::Bench => Some(desk.bench.asker()),
        Door::Network => match joined(&desk, address(&request), request.headers()).await {
            Ok(asker) => asker,
            Err(failure) => return turned_away(request, failure).await,
        },
    };
    let Some(asker) = asker else {
        if !is_open_to_all(request.method(), request.uri().path()) {
            return turned_away(request, Failure::NotJoined).await;
        }
        let stranger = Asker {
            name: "a device that has not joined".into(),
            device: None,
            role: None,
            local: false,
            address: address(&request),
        };
        request.extensions_mut().insert(stranger);
        return next.run(request).await;
    };
    let route = request.extensions().get::<MatchedPath>().map(MatchedPath::as_str);
    let least = least(request.method(), route);
    if !asker.reaches(least) {
        return turned_away(request, Failure::NotInRole(least)).await;
    }
    request.extensions_mut().insert(asker);
    next.run(request).await
}

/// So much of what came with a refused request is read, in bytes, and so long is waited for it.
const READ_BYTES: usize = 64 << 10;
const READ_WITHIN: Duration = Duration::from_secs(1);

/// The refusal. A body that nobody reads costs the connection, and whoever sends the next request into it
/// hears nothing: a small one is read to its end, and of any other it is said that the connection closes.
async fn turned_away(request: Request, why: Failure) -> Response {
    let body = axum::body::to_bytes(request.into_body(), READ_BYTES);
    let is_read = matches!(tokio::time::timeout(READ_WITHIN, body).await, Ok(Ok(_)));
    let mut response = why.into_response();
    if !is_read {
        response.headers_mut().insert(header::CONNECTION, HeaderValue::from_static("close"));
    }
    response
}

/// Addresses by which this machine can be meant.
fn addresses(door: Door) -> Vec<IpAddr> {
    match door {
        Door::Bench => vec![Ipv4Addr::LOCALHOST.into(), Ipv6Addr::LOCALHOST.into()],
        Door::Network => crate::network::addresses(),
    }
}

/// What a device that has not joined may see: the page itself, which holds nobody's data, who it
/// is, and the way in.
fn is_open_to_all(method: &Method, path: &str) -> bool {
    match path.strip_prefix("/api/") {
        None => method == Method::GET || method == Method::HEAD,
        Some("v1/session") => method == Method::GET,
        Some("v1/join") => method == Method::POST,
        Some(_) => false,
    }
}

/// From where a request comes, as the network door notes it.
fn address(request: &Request) -> IpAddr {
    let from = request.extensions().get::<ConnectInfo<SocketAddr>>();
    from.map_or(Ipv4Addr::UNSPECIFIED.into(), |ConnectInfo(from)| from.ip().to_canonical())
}

async fn joined(
    desk: &Desk,
    address: IpAddr,
    headers: &HeaderMap,
) -> Result<Option<Asker>, Failure> {
    let Some(token) = token(headers) else { return Ok(None) };
    let Some(device) = desk.store.device_with_token(token).await? else { return Ok(None) };
    desk.network.seen(desk, &device).await;
    let (name, role) = (device.name.clone(), Some(device.role));
    Ok(Some(Asker { name, device: Some(device), role, local: false, address }))
}

pub(crate) fn token(headers: &HeaderMap) -> Option<&str> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let each = cookies.flat_map(|cookies| cookies.split(';'));
    each.filter_map(|cookie| cookie.trim().split_once('='))
        .find(|(name, _)| *name == COOKIE)
        .map(|(_, token)| token)
}

/// The cookie that a device is given when it has joined.
pub(crate) fn cookie(token: &str) -> String {
    format!("{COOKIE}={token}; Path=/; Max-Age={COOKIE_S}; HttpOnly; Secure; SameSite=Strict")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_token_is_found_among_other_cookies() {
        let mut headers = HeaderMap::new();
        assert_eq!(token(&headers), None);
        headers.append(header::COOKIE, "a=1; endshake_device=abc; b=2".parse().unwrap());
        assert_eq!(token(&headers), Some("abc"));
        let mut others = HeaderMap::new();
        others.append(header::COOKIE, "not_endshake_device=x; endshake_devices=y".parse().unwrap());
        assert_eq!(token(&others), None);
    }

    #[test]
    fn a_stranger_sees_the_page_and_the_way_in_alone() {
        for (method, path, open) in [
            (Method::GET, "/", true),
            (Method::GET, "/assets/index.js", true),
            (Method::POST, "/", false),
            (Method::GET, "/api/v1/session", true),
            (Method::POST, "/api/v1/join", true),
            (Method::GET, "/api/v1/jobs", false),
            (Method::GET, "/api/v1/join", false),
            (Method::GET, "/api/", false),
            (Method::GET, "/api/v1/session/../jobs", false),
            (Method::GET, "/api/v1/media/00", false),
        ] {
            assert_eq!(is_open_to_all(&method, path), open, "{method} {path}");
        }
    }
}
