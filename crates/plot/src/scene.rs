//! What a picture is made of before it becomes text: a list of simple shapes in px.

use crate::font::{ABOVE, BELOW, Weight, fitted, width_px};
use crate::geometry::{Area, Point};
use crate::theme::{Ink, badge_corners};
use crate::values::Balance;

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) ink: Ink,
    pub(crate) width: f64,
    pub(crate) dashes: &'static [f64],
    pub(crate) opacity: f64,
}

impl Stroke {
    pub(crate) fn new(ink: Ink, width: f64) -> Self {
        Self { ink, width, dashes: &[], opacity: 1.0 }
    }

    pub(crate) fn dashed(mut self, dashes: &'static [f64]) -> Self {
        self.dashes = dashes;
        self
    }
}

/// Which end of a line of text its place names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Words {
    pub(crate) at: Point,
    pub(crate) text: String,
    pub(crate) size: f64,
    pub(crate) weight: Weight,
    pub(crate) anchor: Anchor,
    pub(crate) ink: Ink,
    /// Whether an edge in the colour of the card keeps lines behind it away.
    pub(crate) haloed: bool,
}

impl Words {
    /// Regular text in ordinary ink that starts here.
    pub(crate) fn new(at: Point, text: impl Into<String>, size: f64) -> Self {
        Self {
            at,
            text: text.into(),
            size,
            weight: Weight::Regular,
            anchor: Anchor::Start,
            ink: Ink::Text,
            haloed: false,
        }
    }

    pub(crate) fn dim(mut self) -> Self {
        self.ink = Ink::Dim;
        self
    }

    pub(crate) fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    pub(crate) fn bold(mut self) -> Self {
        self.weight = Weight::SemiBold;
        self
    }

    pub(crate) fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    pub(crate) fn haloed(mut self) -> Self {
        self.haloed = true;
        self
    }

    /// Cut with an ellipsis where it is wider than this.
    pub(crate) fn at_most(mut self, most_px: f64) -> Self {
        self.text = fitted(&self.text, self.size, self.weight, most_px);
        self
    }

    pub(crate) fn width(&self) -> f64 {
        width_px(&self.text, self.size, self.weight)
    }

    /// The box that the words fill.
    pub(crate) fn area(&self) -> Area {
        let width = self.width();
        let left = match self.anchor {
            Anchor::Start => self.at.0,
            Anchor::Middle => self.at.0 - width / 2.0,
            Anchor::End => self.at.0 - width,
        };
        Area::new(left, self.at.1 - ABOVE * self.size, width, (ABOVE + BELOW) * self.size)
    }
}

/// One shape.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    /// A box, filled, with a border where wanted.
    Box { area: Area, radius: f64, fill: Ink, border: Option<Ink> },
    /// A line through points.
    Line { points: Vec<Point>, stroke: Stroke },
    /// A filled polygon.
    Polygon { points: Vec<Point>, fill: Ink, opacity: f64 },
    /// Round dots of one size.
    Dots { points: Vec<Point>, diameter: f64, ink: Ink, opacity: f64 },
    /// A line of text.
    Words(Words),
}

/// Shapes in the order in which they are painted.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Scene {
    pub(crate) shapes: Vec<Shape>,
}

impl Scene {
    pub(crate) fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.shapes.push(Shape::Line { points: vec![from, to], stroke });
    }

    pub(crate) fn curve(&mut self, points: Vec<Point>, stroke: Stroke) {
        if points.len() > 1 {
            self.shapes.push(Shape::Line { points, stroke });
        }
    }

    pub(crate) fn polygon(&mut self, points: Vec<Point>, fill: Ink, opacity: f64) {
        if points.len() > 2 {
            self.shapes.push(Shape::Polygon { points, fill, opacity });
        }
    }

    pub(crate) fn dots(&mut self, points: Vec<Point>, diameter: f64, ink: Ink, opacity: f64) {
        if !points.is_empty() {
            self.shapes.push(Shape::Dots { points, diameter, ink, opacity });
        }
    }

    /// Rings: dots with a heart in the colour of the card.
    pub(crate) fn rings(&mut self, points: Vec<Point>, diameter: f64, wall: f64, ink: Ink) {
        self.dots(points.clone(), diameter, ink, 1.0);
        self.dots(points, diameter - 2.0 * wall, Ink::Card, 1.0);
    }

    pub(crate) fn card(&mut self, area: Area) {
        let border = Some(Ink::Rule);
        self.shapes.push(Shape::Box { area, radius: 12.0, fill: Ink::Card, border });
    }

    pub(crate) fn words(&mut self, words: Words) {
        if !words.text.trim().is_empty() {
            self.shapes.push(Shape::Words(words));
        }
    }

    /// The badge of a balance, centred here.
    pub(crate) fn badge(&mut self, balance: &Balance, centre: Point, diameter: f64) {
        let fill = Ink::Balance(balance.place);
        match badge_corners(balance.place) {
            None => self.dots(vec![centre], diameter, fill, 1.0),
            Some((4, 45.0)) => {
                let half = diameter * 0.46;
                let area = Area::new(centre.0 - half, centre.1 - half, 2.0 * half, 2.0 * half);
                let radius = diameter * 0.22;
                self.shapes.push(Shape::Box { area, radius, fill, border: None });
            }
            Some((corners, first_deg)) => {
                // Fewer corners enclose less: make up for it, so that all badges weigh the same.
                let radius = diameter / 2.0 * if corners == 4 { 1.16 } else { 1.07 };
                let points = (0..corners)
                    .map(|n| {
                        let angle = (first_deg + 360.0 * n as f64 / corners as f64).to_radians();
                        (centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin())
                    })
                    .collect();
                self.polygon(points, fill, 1.0);
            }
        }
        let size = (diameter * 0.62).max(9.0);
        let at = (centre.0, centre.1 + size * crate::font::CAPITALS / 2.0);
        let letter: String = balance.letter.chars().take(2).collect();
        let words = Words::new(at, letter, size).bold().anchored(Anchor::Middle);
        self.words(words.ink(Ink::OnBalance(balance.place)).at_most(diameter));
    }
}
