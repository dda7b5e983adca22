//! Who may do what. Looking is for all who are in; changing anything is for repairers and the owner;
//! what holds for all of the workshop, and what cannot be taken back, is for the owner.
//!
//! A request that is not named here and is no plain look is a change: whoever adds one is on the safe
//! side without thinking of it.

use crate::convert;
use axum::http::Method;
use store::Role;
use utoipa::openapi::OpenApi;
use utoipa::openapi::extensions::Extensions;

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

/// The description, with the least role that may ask for each thing.
pub(crate) fn described(mut description: OpenApi) -> OpenApi {
    for (path, item) in &mut description.paths.paths {
        for (method, operation) in [
            (Method::GET, &mut item.get),
            (Method::POST, &mut item.post),
            (Method::PUT, &mut item.put),
            (Method::PATCH, &mut item.patch),
            (Method::DELETE, &mut item.delete),
        ] {
            if let Some(operation) = operation {
                let role = convert::role(least(&method, Some(path)));
                let role = serde_json::to_value(role).unwrap_or_default();
                operation
                    .extensions
                    .get_or_insert_with(Extensions::default)
                    .insert("x-least-role".to_owned(), role);
            }
        }
    }
    description
}

// Every address of ours is gone through in tests/doors/described.rs: what reaches the routes from here would
// have all of them compiled once more.
#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_role_may_what_the_one_below_may() {
        for least in Role::ALL {
            let may = Role::ALL.map(|role| role >= least);
            assert!(may[0] && may.is_sorted_by(|a, b| a >= b), "{least:?}: {may:?}");
        }
    }

    #[test]
    fn what_is_none_of_ours_is_a_change_all_the_same() {
        assert_eq!(least(&Method::POST, None), Role::Repairer);
    }
}
