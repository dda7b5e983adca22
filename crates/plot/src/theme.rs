//! Colours, and what tells one balance from another.

/// Light paper, dark bench, or whatever the page around the picture says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Theme {
    /// Dark ink on light ground.
    Light,
    /// Light ink on dark ground.
    Dark,
    /// As light, on the white of the paper that it is printed on.
    Paper,
    /// For a picture inside a page: every colour is a CSS variable that the page sets once with
    /// [`Theme::page_css`]. Without the page, and in a PNG, it looks like [`Theme::Light`].
    Page,
}

/// What a stroke, a fill or a word is painted with; the theme makes a colour of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Ink {
    /// The paper under the cards.
    Ground,
    /// The card that a picture stands on.
    Card,
    /// Words and numbers.
    Text,
    /// Less important words.
    Dim,
    /// Grid lines and borders.
    Rule,
    /// The zero line, base lines.
    Axis,
    /// The tolerance.
    Wedge,
    /// The border of the tolerance.
    WedgeEdge,
    /// The mark of a warning.
    Warn,
    /// The balance at this place.
    Balance(usize),
    /// The letter on the badge of the balance at this place.
    OnBalance(usize),
}

/// How many balances have a colour of their own.
pub(crate) const COLOURS: usize = 6;

// The palette for the colour-blind of M. Okabe and K. Ito, "Color Universal Design" (2002,
// revised 2008), figure 16: blue, vermillion, bluish green, reddish purple, orange, black. On dark
// ground its sky blue stands for blue and the ink stands for black.
const BALANCES_LIGHT: [&str; COLOURS] =
    ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#1d1f21"];
const BALANCES_DARK: [&str; COLOURS] =
    ["#56b4e9", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#eceae4"];
// The ink, light or dark, that is better read on the colour above it (WCAG 2 contrast).
const ON_BALANCES_LIGHT: [&str; COLOURS] =
    ["#ffffff", "#ffffff", "#ffffff", "#1d1f21", "#1d1f21", "#ffffff"];
const ON_BALANCES_DARK: [&str; COLOURS] =
    ["#16181a", "#16181a", "#16181a", "#16181a", "#16181a", "#16181a"];

const NAMED: [Ink; 9] = [
    Ink::Ground,
    Ink::Card,
    Ink::Text,
    Ink::Dim,
    Ink::Rule,
    Ink::Axis,
    Ink::Wedge,
    Ink::WedgeEdge,
    Ink::Warn,
];

fn light(ink: Ink) -> &'static str {
    match ink {
        Ink::Ground => "#f6f5f2",
        Ink::Card => "#fffefc",
        Ink::Text => "#1d1f21",
        Ink::Dim => "#5f6265",
        Ink::Rule => "#e5e3dd",
        Ink::Axis => "#a5a49f",
        Ink::Wedge => "#e8eee4",
        Ink::WedgeEdge => "#c3d0bb",
        Ink::Warn => "#8a5a00",
        Ink::Balance(place) => BALANCES_LIGHT[place % COLOURS],
        Ink::OnBalance(place) => ON_BALANCES_LIGHT[place % COLOURS],
    }
}

/// The paper itself is white: no ground is printed on it.
fn on_paper(ink: Ink) -> &'static str {
    match ink {
        Ink::Ground | Ink::Card => "#ffffff",
        ink => light(ink),
    }
}

fn dark(ink: Ink) -> &'static str {
    match ink {
        Ink::Ground => "#16181a",
        Ink::Card => "#1f2225",
        Ink::Text => "#eceae4",
        Ink::Dim => "#a6a9ab",
        Ink::Rule => "#33373b",
        Ink::Axis => "#6d7276",
        Ink::Wedge => "#27332c",
        Ink::WedgeEdge => "#45594d",
        Ink::Warn => "#e6b450",
        Ink::Balance(place) => BALANCES_DARK[place % COLOURS],
        Ink::OnBalance(place) => ON_BALANCES_DARK[place % COLOURS],
    }
}

fn variable(ink: Ink) -> String {
    match ink {
        Ink::Ground => "--plot-ground".into(),
        Ink::Card => "--plot-card".into(),
        Ink::Text => "--plot-text".into(),
        Ink::Dim => "--plot-dim".into(),
        Ink::Rule => "--plot-rule".into(),
        Ink::Axis => "--plot-axis".into(),
        Ink::Wedge => "--plot-wedge".into(),
        Ink::WedgeEdge => "--plot-wedge-edge".into(),
        Ink::Warn => "--plot-warn".into(),
        Ink::Balance(place) => format!("--plot-balance-{}", place % COLOURS + 1),
        Ink::OnBalance(place) => format!("--plot-on-balance-{}", place % COLOURS + 1),
    }
}

impl Theme {
    /// What stands in the `fill` or `stroke` attribute.
    pub(crate) fn colour(self, ink: Ink) -> String {
        match self {
            Self::Light => light(ink).into(),
            Self::Dark => dark(ink).into(),
            Self::Paper => on_paper(ink).into(),
            Self::Page => format!("var({}, {})", variable(ink), light(ink)),
        }
    }

    /// The theme to make a PNG with: there is no page around it to ask.
    pub(crate) fn alone(self) -> Self {
        if self == Self::Page { Self::Light } else { self }
    }

    /// The CSS that a page holding pictures in [`Theme::Page`] needs once: light colours, and dark
    /// ones where the reader's system asks for them. A page with its own switch may set the same
    /// variables itself.
    pub fn page_css() -> String {
        let block = |colour: fn(Ink) -> &'static str| {
            let balances = (0..COLOURS).flat_map(|n| [Ink::Balance(n), Ink::OnBalance(n)]);
            let inks = NAMED.into_iter().chain(balances);
            inks.map(|ink| format!("{}:{};", variable(ink), colour(ink))).collect::<String>()
        };
        format!(
            ":root{{{}}}\n@media (prefers-color-scheme:dark){{:root{{{}}}}}\n",
            block(light),
            block(dark)
        )
    }
}

/// Line styles by place: dashes and gaps in px; an empty one is a solid line.
const DASHES: [&[f64]; COLOURS] = [
    &[],
    &[7.0, 4.0],
    &[1.5, 3.5],
    &[9.0, 3.5, 1.5, 3.5],
    &[14.0, 4.0],
    &[9.0, 3.0, 1.5, 3.0, 1.5, 3.0],
];

/// The line style of the balance at this place. Where colours come again, the style has moved on,
/// so that 36 balances differ in one or the other.
pub(crate) fn dashes(place: usize) -> &'static [f64] {
    DASHES[(place % COLOURS + place / COLOURS) % COLOURS]
}

/// The outline of a badge: so many corners, the first at this angle in degrees from the right.
/// `None` for a circle.
pub(crate) fn badge_corners(place: usize) -> Option<(usize, f64)> {
    match place % COLOURS {
        0 => Some((4, 45.0)),
        1 => None,
        2 => Some((4, 0.0)),
        3 => Some((6, 0.0)),
        4 => Some((5, -90.0)),
        _ => Some((8, 22.5)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    /// Relative luminance and contrast after WCAG 2.2, "relative luminance" and "contrast ratio".
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |colour: &str| {
            let part = |at: usize| {
                let c = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn words_can_be_read_on_both_grounds() {
        // WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for running text.
        for colour in [light, on_paper, dark] {
            for ground in [Ink::Ground, Ink::Card, Ink::Wedge] {
                for words in [Ink::Text, Ink::Dim, Ink::Warn] {
                    let ratio = contrast(colour(words), colour(ground));
                    assert!(ratio >= 4.5, "{words:?} on {ground:?}: {ratio:.2}");
                }
            }
        }
    }

    #[test]
    fn letters_can_be_read_on_their_badges() {
        // WCAG 2.2, success criterion 1.4.3: 3 to 1 for large or bold text.
        for colour in [light, dark] {
            for place in 0..COLOURS {
                let ratio = contrast(colour(Ink::OnBalance(place)), colour(Ink::Balance(place)));
                assert!(ratio >= 3.0, "balance {place}: {ratio:.2}");
            }
        }
    }

    #[test]
    fn balances_differ_in_colour_or_line_style() {
        let styles: HashSet<_> =
            (0..36).map(|n| (light(Ink::Balance(n)), format!("{:?}", dashes(n)))).collect();
        assert_eq!(styles.len(), 36);
    }

    #[test]
    fn page_css_sets_every_variable_in_both_schemes() {
        let css = Theme::page_css();
        for ink in NAMED.into_iter().chain((0..COLOURS).map(Ink::Balance)) {
            assert_eq!(css.matches(&format!("{}:", variable(ink))).count(), 2, "{ink:?}");
        }
    }
}
