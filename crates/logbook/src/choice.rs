//! Words out of fixed lists, as they are written.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// Defines an enum that is written in snake case and has the members of one of `rebuild`'s.
macro_rules! choice {
    (
        $(#[$about:meta])*
        pub enum $name:ident {
            $($(#[$doc:meta])* $member:ident,)+
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
        #[ts(export)]
        #[serde(rename_all = "snake_case")]
        pub enum $name {
            $($(#[$doc])* $member,)+
        }

        impl From<$name> for rebuild::$name {
            fn from(choice: $name) -> Self {
                match choice {
                    $($name::$member => Self::$member,)+
                }
            }
        }

        impl From<rebuild::$name> for $name {
            fn from(choice: rebuild::$name) -> Self {
                match choice {
                    $(rebuild::$name::$member => Self::$member,)+
                }
            }
        }
    };
}

choice! {
    /// From which side of the movement something came out.
    pub enum Side {
        /// The side of the dial.
        Dial,
        /// The other side, where the train and its bridges are.
        Train,
        /// From the case, or of the case.
        Case,
        /// From an assembly that was out already and is taken apart in hand.
        Hand,
    }
}

choice! {
    /// What is to become of a part.
    pub enum Verdict {
        /// Good as it is.
        Keep,
        /// To be cleaned.
        Clean,
        /// To be repaired.
        Repair,
        /// To be replaced; the new one goes in under the same id.
        Replace,
    }
}

choice! {
    /// Which way a thread turns.
    pub enum ThreadHand {
        /// Clockwise to tighten.
        Right,
        /// Counter-clockwise to tighten, clockwise to loosen.
        Left,
        /// Not known.
        Unknown,
    }
}

choice! {
    /// How a check came out.
    pub enum Outcome {
        /// As it should be.
        Good,
        /// Not as it should be.
        Bad,
        /// It could not be told; the check counts as made.
        CannotTell,
    }
}
