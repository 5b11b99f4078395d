//! A sheet for schematic drawings: lines, circles, hatched shapes, arrows and words as plain SVG.

use std::fmt::Write as _;

/// How a line is drawn.
#[derive(Clone, Copy)]
pub enum Pen {
    Thin,
    Thick,
    Dashed,
    Dotted,
}

/// Where words stand against their place.
#[derive(Clone, Copy)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

pub type Place = (f64, f64);

pub struct Sheet {
    width: f64,
    height: f64,
    title: String,
    body: String,
}

impl Sheet {
    /// An empty sheet with its title along the top and a caption under it.
    pub fn new(width: f64, height: f64, title: &str, caption: &str) -> Sheet {
        let mut sheet = Sheet { width, height, title: title.to_owned(), body: String::new() };
        sheet.words((width / 2.0, 30.0), Anchor::Middle, 20, title);
        sheet.words((width / 2.0, 54.0), Anchor::Middle, 14, caption);
        sheet
    }

    pub fn line(&mut self, from: Place, to: Place, pen: Pen) {
        let ((x1, y1), (x2, y2)) = (from, to);
        self.put(&format!(
            r#"<line x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}" {}/>"#,
            stroke(pen)
        ));
    }

    /// A line with a head at its end, and at its start too when it measures a distance.
    pub fn arrow(&mut self, from: Place, to: Place, both: bool) {
        let ((x1, y1), (x2, y2)) = (from, to);
        let end = r#" marker-end="url(#head)""#;
        let start = if both { r#" marker-start="url(#head)""# } else { "" };
        self.put(&format!(
            r#"<line x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}" {}{end}{start}/>"#,
            stroke(Pen::Thin)
        ));
    }

    pub fn circle(&mut self, (x, y): Place, radius: f64, pen: Pen) {
        self.put(&format!(r#"<circle cx="{x:.1}" cy="{y:.1}" r="{radius:.1}" {}/>"#, stroke(pen)));
    }

    pub fn dot(&mut self, (x, y): Place) {
        self.put(&format!(r#"<circle cx="{x:.1}" cy="{y:.1}" r="4" fill="black"/>"#));
    }

    /// A closed shape; hatched or empty.
    pub fn shape(&mut self, places: &[Place], hatched: bool) {
        let points: Vec<String> = places.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
        let fill = if hatched { "url(#hatch)" } else { "none" };
        self.put(&format!(
            r#"<polygon points="{}" fill="{fill}" stroke="black" stroke-width="1.5"/>"#,
            points.join(" ")
        ));
    }

    pub fn words(&mut self, (x, y): Place, anchor: Anchor, size: u32, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.put(&format!(
            r#"<text x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" font-size="{size}">{}</text>"#,
            escaped(text)
        ));
    }

    /// The lines of a legend, upward from the bottom left: a sample and what it means.
    pub fn legend(&mut self, lines: &[(Sample, &str)]) {
        let mut y = self.height - 18.0 - 22.0 * (lines.len() as f64 - 1.0);
        for (sample, text) in lines {
            match sample {
                Sample::Line(pen) => self.line((24.0, y - 5.0), (64.0, y - 5.0), *pen),
                Sample::Arrow => self.arrow((24.0, y - 5.0), (64.0, y - 5.0), false),
                Sample::Dot => self.dot((44.0, y - 5.0)),
                Sample::Ring => self.circle((44.0, y - 5.0), 8.0, Pen::Thick),
                Sample::Hatch => {
                    let (top, low) = (y - 13.0, y + 1.0);
                    self.shape(&[(24.0, top), (64.0, top), (64.0, low), (24.0, low)], true);
                }
            }
            self.words((76.0, y), Anchor::Start, 14, text);
            y += 22.0;
        }
    }

    pub fn finish(self) -> String {
        let (width, height) = (self.width, self.height);
        format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" "#,
                r#"viewBox="0 0 {w} {h}" font-family="sans-serif" role="img">"#,
                "\n<title>{title}</title>\n<defs>\n",
                r#"<pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" "#,
                r#"patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="7" "#,
                r#"stroke="black" stroke-width="1.2"/></pattern>"#,
                "\n",
                r#"<marker id="head" markerWidth="10" markerHeight="8" refX="9" refY="4" "#,
                r#"orient="auto-start-reverse"><path d="M0,0 L10,4 L0,8 Z"/></marker>"#,
                "\n</defs>\n",
                r#"<rect width="{w}" height="{h}" fill="white"/>"#,
                "\n{body}</svg>\n"
            ),
            w = width,
            h = height,
            title = escaped(&self.title),
            body = self.body
        )
    }

    fn put(&mut self, element: &str) {
        writeln!(self.body, "{element}").expect("a string takes what is written to it");
    }
}

/// What stands before a line of a legend.
#[derive(Clone, Copy)]
pub enum Sample {
    Line(Pen),
    Arrow,
    Dot,
    Ring,
    Hatch,
}

fn stroke(pen: Pen) -> &'static str {
    match pen {
        Pen::Thin => r#"fill="none" stroke="black" stroke-width="1.2""#,
        Pen::Thick => r#"fill="none" stroke="black" stroke-width="2.6""#,
        Pen::Dashed => r#"fill="none" stroke="black" stroke-width="1.8" stroke-dasharray="9 6""#,
        Pen::Dotted => r#"fill="none" stroke="black" stroke-width="1.8" stroke-dasharray="2 5""#,
    }
}

/// Text as it may stand in SVG and HTML.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
