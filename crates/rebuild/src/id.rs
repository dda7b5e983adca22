//! Ids: UUIDs that come from outside for what was entered, kebab-case names for what stands in
//! data files.

use std::fmt;
use std::sync::Arc;
use thiserror::Error;
use uuid::Uuid;

/// Defines an id that is a UUID made outside.
macro_rules! uuid_id {
    ($($(#[$about:meta])* $name:ident;)+) => {$(
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Uuid);

        impl $name {
            /// The id that is this UUID.
            #[must_use]
            pub const fn from_uuid(uuid: Uuid) -> Self {
                Self(uuid)
            }

            /// The UUID.
            #[must_use]
            pub const fn uuid(self) -> Uuid {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}

uuid_id! {
    /// Of an entry in the log. An entry that is sent twice has the same id and counts once.
    EntryId;
    /// Of a step of the take-down: what came out in one go.
    StepId;
    /// Of one part.
    PartId;
    /// Of a set of like screws that came out with a step.
    ScrewsId;
    /// Of a photo that is kept elsewhere.
    PhotoRef;
    /// Of one of the user's bottles.
    BottleId;
}

/// Something that is not a kebab-case name.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "\"{0}\" is not a name for data files: lower-case letters and figures, words joined by single hyphens."
)]
pub struct NotASlug(pub String);

fn is_slug(text: &str) -> bool {
    !text.is_empty()
        && text.split('-').all(|word| {
            !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        })
}

/// Defines an id that is a kebab-case name.
macro_rules! slug_id {
    ($($(#[$about:meta])* $name:ident;)+) => {$(
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// From its name.
            ///
            /// # Errors
            ///
            /// Where this is not lower-case words joined by single hyphens.
            pub fn new(name: &str) -> Result<Self, NotASlug> {
                if is_slug(name) { Ok(Self(name.into())) } else { Err(NotASlug(name.to_owned())) }
            }

            /// Its name.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl std::str::FromStr for $name {
            type Err = NotASlug;

            fn from_str(name: &str) -> Result<Self, NotASlug> {
                Self::new(name)
            }
        }
    )+};
}

slug_id! {
    /// Of a kind of part, such as `escape-wheel`.
    KindId;
    /// Of a rule, such as `oil-cap-jewel-before-balance`.
    RuleId;
    /// Of a trait that a part may have, such as `capped-jewel` or `radium-paint`.
    TraitId;
}

/// The name of a group of parts that belong together: a train, a balance with its escapement. Two
/// groups that match part for part are twins. The user gives the names ("A", "B", "seconds train").
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Group(Arc<str>);

impl Group {
    /// From its name, as the user typed it; blanks around it do not count.
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self(name.trim().into())
    }

    /// Its name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Group {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_for_data_files_is_kebab_case() {
        for good in ["escape-wheel", "4th-wheel", "click"] {
            assert!(KindId::new(good).is_ok(), "{good}");
        }
        for bad in ["", "Escape wheel", "-click", "click-", "a--b", "häkchen", "a_b"] {
            assert_eq!(KindId::new(bad), Err(NotASlug(bad.to_owned())));
        }
    }
}
