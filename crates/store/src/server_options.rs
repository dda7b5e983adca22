//! How a PostgreSQL server is asked, by its URL: what its manual says of `sslmode` (34.19, "SSL
//! Support") where the client that is used here leaves it out.

use crate::error::{Error, Result};
use sqlx::ConnectOptions;
use sqlx::Connection;
use sqlx::postgres::{PgConnectOptions, PgSslMode};
use std::ffi::OsString;
use url::Url;

/// The name by which the certificates are given that are trusted.
const ROOT: &str = "sslrootcert";
/// Those of the system, in place of a file.
const OF_THE_SYSTEM: &str = "system";

/// A bench that is cut off in the midst of a change keeps all others waiting until the server notices:
/// within half a minute by these, within two hours by what is usual (its manual, 20.3.2).
/// What it has sent and nobody has confirmed has as long, in milliseconds: while such a thing is under
/// way it does not ask whether the line lives.
pub(crate) const NOTICED_WHEN_GONE: [(&str, &str); 4] = [
    ("tcp_user_timeout", "30000"),
    ("tcp_keepalives_idle", "15"),
    ("tcp_keepalives_interval", "5"),
    ("tcp_keepalives_count", "3"),
];

/// What the variables of the environment say of TLS, which the client reads by itself.
struct Environment {
    root: Option<OsString>,
    has_mode: bool,
}

impl Environment {
    fn of_this_program() -> Self {
        Self {
            root: std::env::var_os("PGSSLROOTCERT"),
            has_mode: std::env::var_os("PGSSLMODE").is_some(),
        }
    }
}

/// From a URL, and from the variables `PG...` of the environment where it is silent.
pub(crate) fn options(url: &str) -> Result<PgConnectOptions> {
    options_in(url, &Environment::of_this_program())
}

fn options_in(url: &str, environment: &Environment) -> Result<PgConnectOptions> {
    let unreadable = |error: String| Error::Unreachable(error);
    let url: Url = url.parse().map_err(|error: url::ParseError| unreadable(error.to_string()))?;
    let (is_of_system, url) = without_system_root(url);
    let mut options: PgConnectOptions =
        url.as_str().parse().map_err(|error: sqlx::Error| unreadable(error.to_string()))?;
    let named = |name: &str| url.query_pairs().any(|(key, _)| key == name);
    let root = environment.root.as_deref().filter(|_| !is_of_system && !named(ROOT));
    let environment_says_system = root.is_some_and(|root| root == OF_THE_SYSTEM);
    if environment_says_system {
        // The client has read it as the name of a file, and cannot be told to forget it: none but
        // those of the system.
        options = options.ssl_root_cert_from_pem(Vec::new());
    }
    if is_of_system || environment_says_system {
        // "sslrootcert=system" wants the strongest, which it is then unless something else is said.
        let has_mode = named("sslmode") || environment.has_mode;
        if has_mode && !matches!(options.get_ssl_mode(), PgSslMode::VerifyFull) {
            let words = "sslrootcert=system goes with sslmode=verify-full alone";
            return Err(unreadable(words.into()));
        }
        options = options.ssl_mode(PgSslMode::VerifyFull);
    }
    let has_root = named(ROOT) || root.is_some();
    if has_root && matches!(options.get_ssl_mode(), PgSslMode::Require) {
        options = options.ssl_mode(PgSslMode::VerifyCa);
    }
    // "ignored for Unix domain socket communication".
    if options.get_socket().is_some() || options.get_host().starts_with('/') {
        options = options.ssl_mode(PgSslMode::Disable);
    }
    Ok(options.application_name("endshake"))
}

/// Takes `sslrootcert=system` out, which the client would take for the name of a file.
fn without_system_root(mut url: Url) -> (bool, Url) {
    let is_it = |(key, value): &(String, String)| key == ROOT && value == OF_THE_SYSTEM;
    let pairs: Vec<(String, String)> = url.query_pairs().into_owned().collect();
    if !pairs.iter().any(is_it) {
        return (false, url);
    }
    let rest: Vec<_> = pairs.into_iter().filter(|pair| !is_it(pair)).collect();
    url.query_pairs_mut().clear().extend_pairs(rest);
    (true, url)
}

/// Connects once, so that what is wrong is said; gives the options with which that was possible:
/// with `allow` a server that wants TLS is asked again with it.
pub(crate) async fn tried(options: PgConnectOptions) -> Result<PgConnectOptions> {
    let first = match options.connect().await {
        Ok(connection) => {
            connection.close().await?;
            return Ok(options);
        }
        Err(error) => error,
    };
    if matches!(options.get_ssl_mode(), PgSslMode::Allow) {
        let with_tls = options.ssl_mode(PgSslMode::Require);
        if let Ok(connection) = with_tls.connect().await {
            connection.close().await?;
            return Ok(with_tls);
        }
    }
    Err(first.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mode(url: &str) -> String {
        match options(url) {
            Ok(options) => format!("{:?}", options.get_ssl_mode()),
            Err(error) => error.to_string(),
        }
    }

    /// By the manual of PostgreSQL 16, 34.1.2 and table 34.1.
    #[test]
    fn the_mode_is_the_one_of_the_manual() {
        for (url, expected) in [
            ("postgres://host/bench", "Prefer"),
            ("postgres://host/bench?sslmode=disable", "Disable"),
            ("postgres://host/bench?sslmode=allow", "Allow"),
            ("postgres://host/bench?sslmode=require", "Require"),
            ("postgres://host/bench?sslmode=require&sslrootcert=/a.pem", "VerifyCa"),
            ("postgres://host/bench?sslmode=verify-ca&sslrootcert=/a.pem", "VerifyCa"),
            ("postgres://host/bench?sslmode=verify-full", "VerifyFull"),
            ("postgres://host/bench?sslrootcert=system", "VerifyFull"),
            ("postgres://host/bench?sslrootcert=system&sslmode=verify-full", "VerifyFull"),
            ("postgres:///bench?host=/run/postgresql&sslmode=require", "Disable"),
        ] {
            assert_eq!(mode(url), expected, "{url}");
        }
        for (url, part) in [
            ("postgres://host/bench?sslmode=maybe", "maybe"),
            ("postgres://host/bench?sslrootcert=system&sslmode=require", "verify-full alone"),
        ] {
            let said = mode(url);
            assert!(said.contains(part) && said.starts_with("The data cannot"), "{url}: {said}");
        }
    }

    /// The variable says what the URL may say (34.15), and the URL goes before it.
    #[test]
    fn the_certificates_of_the_system_may_be_named_in_the_environment() {
        let environment = |root: &str| Environment { root: Some(root.into()), has_mode: false };
        let root = |url: &str, environment: &Environment| {
            let options = options_in(url, environment).unwrap();
            format!("{:?}", options.get_ssl_mode())
        };
        let system = environment("system");
        assert_eq!(root("postgres://host/bench", &system), "VerifyFull");
        let file = "postgres://host/bench?sslrootcert=/a.pem";
        assert_eq!(root(file, &system), "Prefer");
        let file = environment("/a.pem");
        assert_eq!(root("postgres://host/bench?sslmode=require", &file), "VerifyCa");
        let wants_less = options_in("postgres://host/bench?sslmode=require", &system);
        assert!(wants_less.unwrap_err().to_string().contains("verify-full alone"));
    }
}
