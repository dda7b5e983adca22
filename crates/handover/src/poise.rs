//! Rates around the dial with the heavy spot of each balance, before and now: drawings for the
//! colleague.

use crate::drawing::drawn;
use crate::rates::{BeforeAfter, placed};
use horology::poise::{HeavySpot, PoiseAnswer, PoiseSettings};
use horology::stance::Stance;
use plot::{Balance, Dial, DialSector, DialWords, Size, Theme};
use regulate::{Placed, Sheet};
use report::Block;
use words::regulating as said;

/// As wide as drawings of readings: across a page its words are then as large as those around it.
const WIDE_PX: f64 = 760.0;

/// A drawing for each balance of which a heavy spot can be asked for, before or now.
pub(crate) fn dials(rates: &BeforeAfter) -> Vec<Block> {
    let letters = rates.letters();
    let drawings: Vec<Block> = letters.iter().filter_map(|letter| drawing(rates, letter)).collect();
    if drawings.is_empty() {
        return drawings;
    }
    let mut blocks = vec![Block::Heading("Around the dial, and where it is heavy".to_owned())];
    blocks.extend(drawings);
    blocks.push(Block::Note(MEANING.to_owned()));
    blocks
}

const MEANING: &str = "Each position stands at the hour that is uppermost in it, the dial's positions \
    in the middle; rates in s/d, as the watch lies before one with its dial up. Seen from the \
    balance's side the dial's hours go counter-clockwise.";

fn drawing(rates: &BeforeAfter, letter: &str) -> Option<Block> {
    let both = [("Before", &rates.before), ("Now", &rates.after)];
    let found: Vec<Found> =
        both.iter().filter_map(|(title, sheet)| Found::of(title, sheet, letter)).collect();
    // Of rates alone the table tells as much.
    if !found.iter().any(|one| one.is_answered) {
        return None;
    }
    let mut dials: Vec<Dial> = found.into_iter().map(|one| one.dial).collect();
    let caption = format!("Balance {letter}: rates around the dial");
    let picture = match dials.len() {
        1 => dials.pop()?.draw(Size::new(WIDE_PX), Theme::Paper),
        _ => {
            let sheet = plot::Sheet { dials, ..plot::Sheet::default() };
            sheet.draw(Size::new(WIDE_PX), Theme::Paper)
        }
    };
    Some(Block::Picture(drawn(&picture, caption)))
}

struct Found {
    dial: Dial,
    /// Whether there were enough readings to ask.
    is_answered: bool,
}

impl Found {
    fn of(title: &str, sheet: &Sheet, letter: &str) -> Option<Self> {
        let balance = sheet.balance(letter)?;
        let wind = sheet.fullest(balance)?;
        let mut around = Vec::new();
        let mut middle = Vec::new();
        let in_wind = |one: &&Placed| sheet.winds[one.wind].wind == wind.wind;
        for one in placed(sheet, letter).iter().filter(in_wind) {
            let Some(rate) = one.rate_s_per_d else { continue };
            let (number, _) = words::rounded(rate, true);
            let words = DialWords { name: one.position.symbol().to_owned(), number };
            match Stance::from(one.position).upright() {
                Some(upright) => around.push((upright.uppermost_deg(), words)),
                None => middle.push(words),
            }
        }
        let finding = regulate::heavy_spot(&sheet.rates, balance, &PoiseSettings::default()).ok();
        let spot = finding.as_ref().and_then(|finding| match finding.answer {
            PoiseAnswer::Told(spot) => Some(spot),
            PoiseAnswer::CannotTell { .. } => None,
        });
        let sentence = finding.as_ref().map(|finding| {
            let words = said::poise(finding, &horology::balance::BalanceFacts::default());
            [words.answer, words.doubt].join(" ").trim().to_owned()
        });
        let wind = wind.words.trim();
        let dial = Dial {
            balance: lettered(letter),
            title: title.to_owned(),
            note: if wind.is_empty() { String::new() } else { format!("wind: {wind}") },
            around,
            middle,
            sector: spot.as_ref().map(sector),
            sentence: sentence.unwrap_or_default(),
        };
        Some(Self { dial, is_answered: finding.is_some() })
    }
}

fn sector(spot: &HeavySpot) -> DialSector {
    DialSector { direction_deg: spot.direction_deg.value, half_deg: spot.sector_half_angle_deg() }
}

/// With the colour that its letter has everywhere.
fn lettered(letter: &str) -> Balance {
    let place = ('A'..='Z').position(|own| letter == own.to_string()).unwrap_or(0);
    Balance { letter: letter.to_owned(), place }
}
