//! Writes every kind of picture, with invented data, into a folder:
//!
//!     cargo run -p plot --example gallery -- FOLDER [WORD]
//!
//! With a word, only pictures with that word in their name. For people to look at; `page.html`
//! shows them all in a page that follows the system's light or dark.

mod invented;

use invented as made;
use plot::{
    Against, Drift, FONT_FAMILY, FontUse, Picture, REGULAR_WOFF2, SEMI_BOLD_WOFF2, Size, Theme,
};
use std::path::Path;

/// All pictures in one page that follows the reader's system, the typeface loaded once.
fn page() -> String {
    let face = |weight, file| {
        format!(
            "@font-face{{font-family:'{FONT_FAMILY}';font-weight:{weight};src:url({file}) format('woff2')}}\n"
        )
    };
    let mut html = format!(
        "<!doctype html><meta charset=utf-8><meta name=viewport content='width=device-width'>\
         <title>Pictures</title><style>{}{}{}body{{margin:12px;background:var(--plot-ground)}}\
         svg{{display:block;margin:0 auto 12px;max-width:100%;height:auto;border-radius:12px}}</style>",
        face(400, "regular.woff2"),
        face(600, "semi-bold.woff2"),
        Theme::page_css()
    );
    for (_, draw) in pictures() {
        html.push_str(&draw(Size::phone(), Theme::Page).svg(FontUse::InPage));
    }
    html
}

type Draw = Box<dyn Fn(Size, Theme) -> Picture>;

fn pictures() -> Vec<(&'static str, Draw)> {
    let drift = |drift: Drift| -> Draw { Box::new(move |size, theme| drift.draw(size, theme)) };
    vec![
        ("drift-two", drift(made::drift_two())),
        ("drift-one", drift(made::drift_one())),
        ("drift-six", drift(made::drift_six())),
        ("drift-day", drift(made::drift_day())),
        ("drift-stop", drift(made::drift_stop())),
        ("drift-empty", drift(Drift::default())),
        ("beat-a", Box::new(|size, theme| made::beat(0, 281.0).draw(size, theme))),
        ("beat-b", Box::new(|size, theme| made::beat(1, 190.0).draw(size, theme))),
        ("beat-crowded", Box::new(|size, theme| made::beat_crowded().draw(size, theme))),
        ("dial-eight", Box::new(|size, theme| made::dial_eight().draw(size, theme))),
        ("sheet-dials", Box::new(|size, theme| made::sheet_of_dials().draw(size, theme))),
        ("course-amplitude", Box::new(|size, theme| made::amplitude_course().draw(size, theme))),
        ("course-rate", Box::new(|size, theme| made::rate_course().draw(size, theme))),
        (
            "periodogram-period",
            Box::new(|size, theme| made::periodogram(Against::Period).draw(size, theme)),
        ),
        (
            "periodogram-frequency",
            Box::new(|size, theme| made::periodogram(Against::Frequency).draw(size, theme)),
        ),
        ("sheet-two", Box::new(|size, theme| made::sheet_two().draw(size, theme))),
        ("sheet-one", Box::new(|size, theme| made::sheet_one().draw(size, theme))),
    ]
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("usage: gallery FOLDER [WORD]")?;
    let word = arguments.next().unwrap_or_default();
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    std::fs::write(folder.join("regular.woff2"), REGULAR_WOFF2)?;
    std::fs::write(folder.join("semi-bold.woff2"), SEMI_BOLD_WOFF2)?;
    std::fs::write(folder.join("page.html"), page())?;
    for (name, draw) in pictures() {
        for (theme_name, theme) in [("light", Theme::Light), ("dark", Theme::Dark)] {
            for (size_name, size) in [("desk", Size::desktop()), ("phone", Size::phone())] {
                let size = if name.starts_with("sheet") && size_name == "desk" {
                    Size::page()
                } else {
                    size
                };
                let name = format!("{name}-{theme_name}-{size_name}");
                if !name.contains(&word) {
                    continue;
                }
                let picture = draw(size, theme);
                std::fs::write(folder.join(format!("{name}.svg")), picture.svg(FontUse::Embedded))?;
                std::fs::write(folder.join(format!("{name}.png")), picture.png(2.0)?)?;
            }
        }
    }
    Ok(())
}
