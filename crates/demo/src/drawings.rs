//! Drawn stand-ins for photos: a movement as seen through a loupe, with wheels, stones and stripes.
//! Nobody's watch.

use image::{Rgb, RgbImage};
use std::io::Cursor;

const WIDTH_PX: u32 = 1_280;
const HEIGHT_PX: u32 = 960;

/// A round part.
#[derive(Debug, Clone, Copy)]
struct Wheel {
    x: f32,
    y: f32,
    radius: f32,
    teeth: u32,
    spokes: u32,
    colour: [f32; 3],
}

const BRASS: [f32; 3] = [196.0, 164.0, 92.0];
const STEEL: [f32; 3] = [150.0, 156.0, 166.0];
const RUBY: [f32; 3] = [178.0, 38.0, 74.0];

/// A PNG of a movement; each seed lays its wheels out in another way.
pub(super) fn movement(seed: u32) -> Vec<u8> {
    let wheels = wheels(seed);
    let image = RgbImage::from_fn(WIDTH_PX, HEIGHT_PX, |x, y| {
        let colour = at(x as f32, y as f32, &wheels);
        Rgb(colour.map(|c| c.clamp(0.0, 255.0) as u8))
    });
    let mut bytes = Cursor::new(Vec::new());
    // Into memory, in a format that can hold it: there is nothing that could fail.
    let _ = image.write_to(&mut bytes, image::ImageFormat::Png);
    bytes.into_inner()
}

fn wheels(seed: u32) -> Vec<Wheel> {
    let shift = |n: u32| ((seed * 37 + n * 53) % 100) as f32 - 50.0;
    let wheel = |n: u32, x: f32, y: f32, radius: f32, teeth, spokes, colour| Wheel {
        x: x + shift(n),
        y: y + shift(n + 7),
        radius,
        teeth,
        spokes,
        colour,
    };
    vec![
        wheel(1, 380.0, 470.0, 235.0, 80, 5, BRASS),
        wheel(2, 690.0, 330.0, 160.0, 64, 5, BRASS),
        wheel(3, 880.0, 560.0, 120.0, 60, 4, BRASS),
        wheel(4, 720.0, 720.0, 84.0, 15, 3, STEEL),
        wheel(5, 1_010.0, 300.0, 170.0, 0, 2, BRASS),
    ]
}

fn at(x: f32, y: f32, wheels: &[Wheel]) -> [f32; 3] {
    // Broad stripes on a plate, a little darker towards the edge.
    let (dx, dy) = (x - WIDTH_PX as f32 / 2.0, y - HEIGHT_PX as f32 / 2.0);
    let from_middle = dx.hypot(dy);
    if from_middle > 620.0 {
        return [34.0, 36.0, 40.0];
    }
    let stripe = ((x + 0.4 * y) / 64.0).fract();
    let light = 150.0 + 34.0 * (stripe - 0.5).abs() - 0.03 * from_middle;
    let mut colour = [light, light, light + 4.0];
    for wheel in wheels {
        let (dx, dy) = (x - wheel.x, y - wheel.y);
        let (distance, angle) = (dx.hypot(dy), dy.atan2(dx));
        let turns = angle / std::f32::consts::TAU + 0.5;
        let tooth =
            if wheel.teeth > 0 && (turns * wheel.teeth as f32).fract() < 0.5 { 9.0 } else { 0.0 };
        let in_rim = distance < wheel.radius + tooth && distance > 0.84 * wheel.radius;
        let spoke = ((turns * wheel.spokes as f32).fract() - 0.5).abs() * distance;
        let in_spoke = distance < wheel.radius && spoke < 7.0 * wheel.spokes as f32 / 6.3;
        if in_rim || in_spoke || distance < 0.2 * wheel.radius {
            let shine = 1.0 + 0.16 * (angle * 3.0 + distance / 40.0).sin();
            colour = wheel.colour.map(|c| c * shine);
        } else if distance < wheel.radius + 16.0 {
            colour = colour.map(|c| c * 0.82);
        }
        if distance < 15.0 {
            colour = RUBY;
        }
        if distance < 5.0 {
            colour = STEEL;
        }
    }
    colour
}
