//! A page from elsewhere must not drive this program through the user's browser. Browsers say for
//! which host a request is meant and from which page it comes; both are checked on every request.

use axum::http::uri::Authority;
use axum::http::{HeaderMap, Method, Uri, header};
use std::net::IpAddr;

/// A door through which requests come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Door {
    /// From this machine alone, plain HTTP.
    Bench,
    /// From the local network, TLS; for devices that joined.
    Network,
}

impl Door {
    fn scheme(self) -> &'static str {
        match self {
            Self::Bench => "http",
            Self::Network => "https",
        }
    }
}

/// Why a request is turned away at the door.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// Meant for a host that this is not: a name that somebody pointed at this machine.
    Host,
    /// From a page of another origin.
    Origin,
}

/// Whether a request with this target and these headers, that came to this port of a machine with
/// these addresses, is meant for us and comes from our own page, or from no page.
pub(crate) fn check_origin(
    (method, target): (&Method, &Uri),
    headers: &HeaderMap,
    door: Door,
    ours: &[IpAddr],
    at_port: u16,
) -> Result<(), Refusal> {
    // HTTP/2 has the host in the target (RFC 9113, 8.3.1), HTTP/1.1 in a header; where both name
    // one, it must be the same.
    let named = target.authority().map(Authority::as_str);
    let host = match (headers.contains_key(header::HOST), named) {
        (true, None) => only(headers, header::HOST),
        (true, Some(_)) => only(headers, header::HOST).filter(|host| Some(*host) == named),
        (false, named) => named,
    };
    let host = host.ok_or(Refusal::Host)?;
    if !is_ours(host, door, ours, at_port) {
        return Err(Refusal::Host);
    }
    if headers.contains_key(header::ORIGIN) {
        let own = format!("{}://{host}", door.scheme());
        if only(headers, header::ORIGIN) != Some(&own) {
            return Err(Refusal::Origin);
        }
    }
    // Pages elsewhere that ask without naming their origin are still named as such.
    let site = header::HeaderName::from_static("sec-fetch-site");
    if !headers.contains_key(&site) {
        return Ok(());
    }
    match only(headers, site) {
        Some("same-origin" | "none") => Ok(()),
        // A link on another page may open ours; it may not load anything from us into itself, nor
        // send us anything.
        Some(_) if *method == Method::GET && is_opened_as_page(headers) => Ok(()),
        _ => Err(Refusal::Origin),
    }
}

fn is_opened_as_page(headers: &HeaderMap) -> bool {
    let says = |name: &'static str, what: &str| {
        only(headers, header::HeaderName::from_static(name)) == Some(what)
    };
    says("sec-fetch-mode", "navigate") && says("sec-fetch-dest", "document")
}

/// A header that is there once.
fn only(headers: &HeaderMap, name: header::HeaderName) -> Option<&str> {
    let mut all = headers.get_all(name).iter();
    match (all.next(), all.next()) {
        (Some(one), None) => one.to_str().ok(),
        _ => None,
    }
}

/// Names that nobody can point elsewhere: this machine's own, and its very addresses.
fn is_ours(host: &str, door: Door, ours: &[IpAddr], at_port: u16) -> bool {
    let Some((name, port)) = split(host) else { return false };
    let usual = match door {
        Door::Bench => 80,
        Door::Network => 443,
    };
    if port.unwrap_or(usual) != at_port {
        return false;
    }
    let address = name.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
    match address {
        Ok(address) => ours.contains(&address),
        Err(_) => door == Door::Bench && name.eq_ignore_ascii_case("localhost"),
    }
}

fn split(host: &str) -> Option<(&str, Option<u16>)> {
    // An IPv6 address stands in brackets, colons and all.
    let end = if host.starts_with('[') {
        host.find(']')? + 1
    } else {
        host.find(':').unwrap_or(host.len())
    };
    let (name, rest) = host.split_at(end);
    match rest.strip_prefix(':') {
        Some(port) => Some((name, Some(port.parse().ok()?))),
        None if rest.is_empty() => Some((name, None)),
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(address: &str) -> Vec<IpAddr> {
        vec![address.parse().unwrap()]
    }

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, value.parse().unwrap());
        }
        headers
    }

    fn bench(pairs: &[(&'static str, &str)]) -> Result<(), Refusal> {
        check_origin(
            (&Method::GET, &Uri::from_static("/")),
            &headers(pairs),
            Door::Bench,
            &["127.0.0.1", "::1"].map(|a| at(a)[0]),
            7411,
        )
    }

    #[test]
    fn the_bench_is_known_by_names_that_nobody_else_can_have() {
        for host in ["localhost:7411", "LocalHost:7411", "127.0.0.1:7411", "[::1]:7411"] {
            assert_eq!(bench(&[("host", host)]), Ok(()), "{host}");
        }
        for host in [
            "watch.example:7411",
            "localhost.example:7411",
            "localhost",
            "localhost:80",
            "127.0.0.1.example:7411",
            "192.0.2.1:7411",
            "[::1]x:7411",
            "[::1",
            "localhost:7411:7411",
            "",
        ] {
            assert_eq!(bench(&[("host", host)]), Err(Refusal::Host), "{host}");
        }
        assert_eq!(bench(&[]), Err(Refusal::Host));
        let twice = [("host", "localhost:7411"), ("host", "localhost:7411")];
        assert_eq!(bench(&twice), Err(Refusal::Host));
    }

    /// As HTTP/2 says it, and as HTTP/1.1 may in its long form.
    #[test]
    fn the_host_may_stand_in_the_target() {
        let ask = |target: &str, pairs: &[(&'static str, &str)]| {
            let ours = at("192.0.2.7");
            check_origin(
                (&Method::GET, &target.parse().unwrap()),
                &headers(pairs),
                Door::Network,
                &ours,
                7412,
            )
        };
        let origin = ("origin", "https://192.0.2.7:7412");
        assert_eq!(ask("https://192.0.2.7:7412/api/v1/join", &[origin]), Ok(()));
        assert_eq!(ask("https://192.0.2.7:7412/", &[("host", "192.0.2.7:7412")]), Ok(()));
        let two = [("host", "watch.example:7412")];
        assert_eq!(ask("https://192.0.2.7:7412/", &two), Err(Refusal::Host));
        assert_eq!(ask("https://watch.example:7412/", &[]), Err(Refusal::Host));
        let other = [("origin", "https://watch.example")];
        assert_eq!(ask("https://192.0.2.7:7412/", &other), Err(Refusal::Origin));
    }

    #[test]
    fn a_page_from_elsewhere_is_turned_away() {
        let from = |origin| bench(&[("host", "localhost:7411"), ("origin", origin)]);
        assert_eq!(from("http://localhost:7411"), Ok(()));
        for origin in [
            "null",
            "https://localhost:7411",
            "http://localhost:7412",
            "http://localhost",
            "http://127.0.0.1:7411",
            "http://watch.example",
        ] {
            assert_eq!(from(origin), Err(Refusal::Origin), "{origin}");
        }
    }

    #[test]
    fn a_link_from_elsewhere_may_open_the_page_and_nothing_more() {
        let host = ("host", "localhost:7411");
        let site = |site| ("sec-fetch-site", site);
        assert_eq!(bench(&[host, site("same-origin")]), Ok(()));
        assert_eq!(bench(&[host, site("none")]), Ok(()));
        assert_eq!(bench(&[host, site("cross-site")]), Err(Refusal::Origin));
        let opened = [("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "document")];
        assert_eq!(bench(&[host, site("cross-site"), opened[0], opened[1]]), Ok(()));
        let ours = at("127.0.0.1");
        let posted =
            headers(&[("host", "localhost:7411"), site("cross-site"), opened[0], opened[1]]);
        let post = (&Method::POST, &Uri::from_static("/"));
        assert_eq!(check_origin(post, &posted, Door::Bench, &ours, 7411), Err(Refusal::Origin));
        let twice = [host, site("same-origin"), site("cross-site")];
        assert_eq!(bench(&twice), Err(Refusal::Origin));
        let framed = [("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "iframe")];
        assert_eq!(bench(&[host, site("cross-site"), framed[0], framed[1]]), Err(Refusal::Origin));
    }

    #[test]
    fn on_the_network_only_the_very_address_is_ours() {
        let network = |host: &str| {
            check_origin(
                (&Method::GET, &Uri::from_static("/")),
                &headers(&[("host", host)]),
                Door::Network,
                &at("192.0.2.7"),
                7412,
            )
        };
        assert_eq!(network("192.0.2.7:7412"), Ok(()));
        for host in ["192.0.2.8:7412", "localhost:7412", "bench.example:7412", "192.0.2.7"] {
            assert_eq!(network(host), Err(Refusal::Host), "{host}");
        }
    }

    proptest::proptest! {
        /// Whatever stands there, only this machine's own names at its own port are let in.
        #[test]
        fn nothing_else_is_ours(host in "\\PC{0,40}|[\\[\\]:.0-9a-f]{0,30}|localhost[:.0-9a-z]{0,10}") {
            let Ok(value) = host.parse() else { return Ok(()) };
            let mut headers = HeaderMap::new();
            headers.insert("host", value);
            let ours = ["127.0.0.1", "::1"].map(|a| at(a)[0]);
            if check_origin((&Method::GET, &Uri::from_static("/")), &headers, Door::Bench, &ours, 7411).is_ok() {
                let name = host.to_ascii_lowercase();
                let (name, port) = name.rsplit_once(':').unwrap();
                proptest::prop_assert_eq!(port.parse(), Ok(7411));
                let address: Option<IpAddr> = name.trim_matches(['[', ']']).parse().ok();
                proptest::prop_assert!(name == "localhost" || address.is_some_and(|a| a.is_loopback()));
            }
        }
    }
}
