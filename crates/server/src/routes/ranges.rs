//! Which part of a sound is asked for.

use std::ops::Range;

/// At most so much of a part is given at once; whoever wants more asks again.
const MOST_OF_A_PART: u64 = 4 << 20;

/// What a Range header asks for (RFC 9110, 14.2).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Asked {
    /// All: units that are not known here, several ranges and what is no range are passed over, as
    /// that section allows.
    Whole,
    /// One part, cut to what is given at once.
    Part(Range<u64>),
    /// A part that there is not.
    Beyond,
}

/// What is asked for of so many bytes.
pub(crate) fn asked(header: &str, size: u64) -> Asked {
    let Some(one) = header.strip_prefix("bytes=").and_then(one_range) else { return Asked::Whole };
    let (start, end) = match one {
        One::Last(many) => (size - many.min(size), size),
        One::From(first) => (first, size),
        One::Between(first, last) => (first, last.saturating_add(1).min(size)),
    };
    if start >= end {
        return Asked::Beyond;
    }
    Asked::Part(start..end.min(start + MOST_OF_A_PART))
}

enum One {
    Last(u64),
    From(u64),
    Between(u64, u64),
}

/// The one range of a set of ranges (RFC 9110, 14.1.2); nothing where there are several or none.
fn one_range(set: &str) -> Option<One> {
    let (first, last) = set.trim().split_once('-')?;
    let number = |digits: &str| {
        // More digits than a number has stand for more bytes than there are.
        let all_digits = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
        all_digits.then(|| digits.parse().unwrap_or(u64::MAX))
    };
    match (first, last) {
        ("", last) => number(last).map(One::Last),
        (first, "") => number(first).map(One::From),
        (first, last) => {
            let (first, last) = (number(first)?, number(last)?);
            (first <= last).then_some(One::Between(first, last))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 9110, 14.1.2, for a representation of 10,000 bytes, and what 14.1.1,
    /// 14.1.2 and 14.2 say of others.
    #[test]
    fn ranges() {
        for (header, expected) in [
            ("bytes=0-499", Asked::Part(0..500)),
            ("bytes=500-999", Asked::Part(500..1_000)),
            ("bytes=-500", Asked::Part(9_500..10_000)),
            ("bytes=9500-", Asked::Part(9_500..10_000)),
            ("bytes=0-0", Asked::Part(0..1)),
            ("bytes=9000-20000", Asked::Part(9_000..10_000)),
            ("bytes=-20000", Asked::Part(0..10_000)),
            ("bytes=10000-", Asked::Beyond),
            ("bytes=-0", Asked::Beyond),
            ("bytes=18446744073709551615-18446744073709551615", Asked::Beyond),
            ("bytes=99999999999999999999999-", Asked::Beyond),
            ("bytes=5-4", Asked::Whole),
            ("bytes=0-0,-1", Asked::Whole),
            ("bytes=500-600,601-999", Asked::Whole),
            ("bytes=", Asked::Whole),
            ("bytes=a-b", Asked::Whole),
            ("bytes=+1-2", Asked::Whole),
            ("lines=0-1", Asked::Whole),
        ] {
            assert_eq!(asked(header, 10_000), expected, "{header}");
        }
        assert_eq!(asked("bytes=0-", 1 << 30), Asked::Part(0..MOST_OF_A_PART));
        assert_eq!(asked("bytes=0-", 0), Asked::Beyond);
    }

    proptest::proptest! {
        /// Whatever is asked for, what is given lies within what there is.
        #[test]
        fn no_range_reaches_beyond(header in "(bytes=)?[0-9]{0,22}-?[0-9]{0,22}(,.*)?", size: u64) {
            if let Asked::Part(range) = asked(&header, size) {
                proptest::prop_assert!(range.start < range.end && range.end <= size);
            }
        }
    }
}
