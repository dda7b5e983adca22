//! Fixed lists of words: each word has a code that is kept and never changes, and words for people.

/// Defines an enum whose every member has a stable code and words.
macro_rules! wordlist {
    (
        $(#[$about:meta])*
        pub enum $name:ident {
            $($(#[$doc:meta])* $member:ident = $code:literal, $words:literal;)+
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$doc])* $member,)+
        }

        impl $name {
            /// All of them, in their usual order.
            pub const ALL: &'static [Self] = &[$(Self::$member),+];

            /// The code under which it is kept; it never changes.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self {
                    $(Self::$member => $code,)+
                }
            }

            /// Plain words for people.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self {
                    $(Self::$member => $words,)+
                }
            }

            /// The member with this code; none where there is no such code.
            #[must_use]
            pub fn from_code(code: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|member| member.code() == code)
            }
        }
    };
}
pub(crate) use wordlist;

#[cfg(test)]
mod tests {
    use crate::{
        AdjustmentBy, Answer, ConditionOf, ConditionState, FigureOf, Kind, PartState,
        RelationState, RepeatsIn, SignOf, Stage, TestKind, TestOutcome, TestStandard, TestWay,
        TrialSize,
    };

    fn codes_are_codes(codes: &[&str]) {
        for (n, code) in codes.iter().enumerate() {
            let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
            assert!(code.chars().all(plain), "{code}");
            assert!(!codes[..n].contains(code), "{code} stands twice");
        }
    }

    #[test]
    fn codes_are_plain_and_differ() {
        fn of<T: Copy>(all: &[T], code: impl Fn(T) -> &'static str) -> Vec<&'static str> {
            all.iter().map(|member| code(*member)).collect()
        }
        codes_are_codes(&of(Kind::ALL, Kind::code));
        codes_are_codes(&of(Stage::ALL, Stage::code));
        codes_are_codes(&of(ConditionOf::ALL, ConditionOf::code));
        codes_are_codes(&of(ConditionState::ALL, ConditionState::code));
        codes_are_codes(&of(PartState::ALL, PartState::code));
        codes_are_codes(&of(AdjustmentBy::ALL, AdjustmentBy::code));
        codes_are_codes(&of(Answer::ALL, Answer::code));
        codes_are_codes(&of(TrialSize::ALL, TrialSize::code));
        codes_are_codes(&of(TestKind::ALL, TestKind::code));
        codes_are_codes(&of(TestStandard::ALL, TestStandard::code));
        codes_are_codes(&of(TestWay::ALL, TestWay::code));
        codes_are_codes(&of(TestOutcome::ALL, TestOutcome::code));
        codes_are_codes(&of(FigureOf::ALL, FigureOf::code));
        codes_are_codes(&of(SignOf::ALL, SignOf::code));
        codes_are_codes(&of(RelationState::ALL, RelationState::code));
        codes_are_codes(&of(RepeatsIn::ALL, RepeatsIn::code));
    }

    #[test]
    fn a_code_finds_its_member_again() {
        for stage in Stage::ALL {
            assert_eq!(Stage::from_code(stage.code()), Some(*stage));
        }
        assert_eq!(Stage::from_code("polish"), None);
    }
}
