//! Fixed lists of words: each word has a code that is kept and never changes, and words for people.

/// Defines an enum whose every member has a stable code (kebab-case, as it stands in data files and
/// in what is kept) and words.
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
    use crate::*;

    #[test]
    fn codes_are_plain_and_differ() {
        fn check<T: Copy>(all: &[T], code: impl Fn(T) -> &'static str) {
            for (n, member) in all.iter().enumerate() {
                let code_here = code(*member);
                assert!(code_here.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
                assert!(all[..n].iter().all(|other| code(*other) != code_here), "{code_here}");
            }
        }
        check(Family::ALL, Family::code);
        check(LubricantClass::ALL, LubricantClass::code);
        check(Side::ALL, Side::code);
        check(ThreadHand::ALL, ThreadHand::code);
        check(Verdict::ALL, Verdict::code);
        check(Outcome::ALL, Outcome::code);
        check(CautionAt::ALL, CautionAt::code);
        check(Once::ALL, Once::code);
        check(Reach::ALL, Reach::code);
    }

    #[test]
    fn a_code_finds_its_member_again() {
        for side in Side::ALL {
            assert_eq!(Side::from_code(side.code()), Some(*side));
        }
        assert_eq!(Side::from_code("underside"), None);
    }
}
