//! Where a balance is heavy.

use crate::wire;
use horology::balance::BalanceFacts;
use horology::poise::{PoiseAnswer, PoiseSettings};
use regulate::Sheet;
use words::regulating as said;

pub(super) fn poise(sheet: &Sheet, facts: &BalanceFacts, n: usize) -> wire::RegulatingPoise {
    match regulate::heavy_spot(&sheet.rates, n, &PoiseSettings::default()) {
        Ok(finding) => {
            let said::PoiseWords { answer, doubt, size, details, missing, next } =
                said::poise(&finding, facts);
            let spot = match finding.answer {
                PoiseAnswer::Told(spot) => Some(spot),
                PoiseAnswer::CannotTell { .. } => None,
            };
            wire::RegulatingPoise {
                answer,
                doubt,
                size,
                details,
                missing,
                next,
                direction_deg: spot.map(|spot| spot.direction_deg.value),
                sector_half_deg: spot.map(|spot| spot.sector_half_angle_deg()),
            }
        }
        Err(why) => wire::RegulatingPoise {
            answer: said::sentence(&why.to_string()),
            doubt: String::new(),
            size: String::new(),
            details: Vec::new(),
            missing: String::new(),
            next: String::new(),
            direction_deg: None,
            sector_half_deg: None,
        },
    }
}
