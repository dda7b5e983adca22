//! Who may do what. Looking is for all who are in; changing anything is for repairers and the owner;
//! what holds for all of the workshop, and what cannot be taken back, is for the owner.
//!
//! A request that is not named here and is no plain look is a change: whoever adds one is on the safe
//! side without thinking of it.

use axum::http::Method;
use store::Role;

/// Asks that look like changes and change nothing.
const LOOKS: &[(Method, &str)] = &[
    (Method::POST, "/api/v1/reckon"),
    (Method::POST, "/api/v1/join"),
    (Method::POST, "/api/v1/jobs/{id}/tests/judged"),
    (Method::PUT, "/api/v1/archive/made/{id}"),
    (Method::DELETE, "/api/v1/archive/hand/{id}"),
];

/// What is the owner's alone.
const OWNERS: &[(Method, &str)] = &[
    (Method::PUT, "/api/v1/settings"),
    (Method::PUT, "/api/v1/settings/papers"),
    (Method::PUT, "/api/v1/settings/papers/sign"),
    (Method::DELETE, "/api/v1/settings/papers/sign"),
    (Method::PUT, "/api/v1/archive/sent/{id}"),
    (Method::POST, "/api/v1/archive/sent/{id}/look"),
    (Method::POST, "/api/v1/archive/sent/{id}/add"),
    (Method::POST, "/api/v1/paper-records"),
    (Method::PUT, "/api/v1/trade/own"),
    (Method::PUT, "/api/v1/trade/off"),
    (Method::DELETE, "/api/v1/bin"),
    (Method::DELETE, "/api/v1/bin/{kind}/{id}"),
    (Method::POST, "/api/v1/join-codes"),
    (Method::PATCH, "/api/v1/devices/{id}"),
    (Method::DELETE, "/api/v1/devices/{id}"),
];

/// The least role that may ask for this; `route` is the pattern of its address, where there is one.
pub(crate) fn least(method: &Method, route: Option<&str>) -> Role {
    let named = |list: &[(Method, &str)]| {
        list.iter().any(|(m, pattern)| m == method && route == Some(*pattern))
    };
    if named(OWNERS) {
        Role::Owner
    } else if matches!(*method, Method::GET | Method::HEAD) || named(LOOKS) {
        Role::ReadOnly
    } else {
        Role::Repairer
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// All that can be asked for, by method and pattern, as the description of the API has it.
    fn all() -> BTreeSet<(String, String)> {
        let description = serde_json::to_value(crate::routes::description()).unwrap();
        let paths = description["paths"].as_object().unwrap();
        let each = paths.iter().flat_map(|(path, methods)| {
            let methods = methods.as_object().unwrap().keys();
            methods.map(|method| (method.to_uppercase(), path.clone()))
        });
        each.collect()
    }

    #[test]
    fn every_pattern_that_is_named_is_there() {
        let all = all();
        for (method, pattern) in LOOKS.iter().chain(OWNERS) {
            assert!(
                all.contains(&(method.to_string(), (*pattern).to_owned())),
                "{method} {pattern} is no address of ours"
            );
        }
    }

    /// Whoever may only look changes nothing: what it may ask for is a look, or named above.
    #[test]
    fn who_may_look_may_send_nothing_but_what_is_named() {
        for (method, path) in all() {
            let method: Method = method.parse().unwrap();
            let may = Role::ReadOnly >= least(&method, Some(&path));
            let looks = method == Method::GET || LOOKS.contains(&(method.clone(), path.as_str()));
            assert_eq!(may, looks, "{method} {path}");
        }
    }

    #[test]
    fn each_role_may_what_the_one_below_may() {
        for (method, path) in all() {
            let least = least(&method.parse().unwrap(), Some(&path));
            let may = Role::ALL.map(|role| role >= least);
            assert!(may[0] && may.is_sorted_by(|a, b| a >= b), "{method} {path}: {may:?}");
        }
        // What is none of ours is a change all the same.
        assert_eq!(least(&Method::POST, None), Role::Repairer);
    }
}
