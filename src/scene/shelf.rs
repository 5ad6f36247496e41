//! The size shelf: documented real sizes to pick from, each with its spread and its source.

use crate::Known;
use serde::Deserialize;
use std::sync::LazyLock;

/// A documented size.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// The thing: "man, standing". Unique together with the part.
    pub name: String,
    /// What of it is measured.
    pub part: Part,
    /// Metres.
    pub metres: f64,
    /// One standard deviation, percent of the size.
    pub percent: f64,
    /// Where the spread comes from.
    pub basis: Basis,
    /// Which board of the shelf it stands on.
    pub group: Group,
    /// How far the figure was followed up.
    pub status: Status,
    /// Who published it, and what was made of it.
    pub source: String,
}

/// What of a thing is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum Part {
    /// From its foot up.
    Height,
    /// The long way.
    Length,
    /// The short way; of an aircraft, its span.
    Width,
}

/// Where the spread of a size comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum Basis {
    /// The standard deviation of a measured sample.
    Sample,
    /// A quarter of the width of a published range.
    Range,
    /// The size is a published limit; the spread is judged.
    Limit,
    /// Made to one drawing or standard; the spread covers making and wear.
    Design,
    /// Judged; nobody published one.
    Judged,
}

/// The boards of the shelf.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum Group {
    /// Figures and their parts.
    People,
    /// Doors, stairs, storeys, towers.
    Buildings,
    /// Lanes and what is on them.
    Roads,
    /// Rail and freight.
    Freight,
    /// Ships and harbours.
    Ships,
    /// Aircraft.
    Aircraft,
    /// Pitches and goals.
    Sport,
    /// Furniture and paper.
    Indoors,
    /// Animals and trees.
    Nature,
}

/// How far a figure was followed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum Status {
    /// Seen in the source, or in a copy of it.
    Seen,
    /// Quoted by others.
    SecondHand,
    /// Nobody looked it up.
    Memory,
}

static SHELF: LazyLock<Vec<Size>> = LazyLock::new(|| {
    // The text is part of the program and tested below.
    ron::from_str(include_str!("../../assets/size_shelf.ron"))
        .expect("the size shelf is well formed")
});

/// Every documented size, board by board.
#[must_use]
pub fn sizes() -> &'static [Size] {
    &SHELF
}

/// The sizes in whose name, part or group every one of the words begins a word, in any order and
/// case; all of them when there are no words.
#[must_use]
pub fn find(words: &str) -> Vec<&'static Size> {
    let wanted = words_of(words);
    let text = |size: &Size| format!("{} {} {}", size.name, size.part.word(), size.group.word());
    sizes().iter().filter(|size| has_all(&text(size), &wanted)).collect()
}

/// The words of a text, small.
pub(crate) fn words_of(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect()
}

/// Whether every one of these words begins a word of the text.
pub(crate) fn has_all(text: &str, wanted: &[String]) -> bool {
    let all = words_of(text);
    wanted.iter().all(|word| all.iter().any(|part| part.starts_with(word.as_str())))
}

impl Size {
    /// The size as a statement about a marker carries it.
    #[must_use]
    pub fn known(&self) -> Known {
        Known { metres: self.metres, spread: self.percent / 100.0 }
    }

    /// The thing and what of it is measured: "articulated lorry, length".
    #[must_use]
    pub fn label(&self) -> String {
        format!("{}, {}", self.name, self.part.word())
    }
}

impl Part {
    /// In one word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Height => "height",
            Self::Length => "length",
            Self::Width => "width",
        }
    }
}

impl Basis {
    /// In plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Sample => "spread of a measured sample",
            Self::Range => "a quarter of a published range",
            Self::Limit => "a published limit; spread judged",
            Self::Design => "made to one drawing or standard",
            Self::Judged => "spread judged",
        }
    }
}

impl Group {
    /// In plain words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::People => "people",
            Self::Buildings => "buildings",
            Self::Roads => "roads",
            Self::Freight => "rail and freight",
            Self::Ships => "ships and harbours",
            Self::Aircraft => "aircraft",
            Self::Sport => "sport",
            Self::Indoors => "indoors",
            Self::Nature => "animals and trees",
        }
    }
}

impl Status {
    /// In plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Seen => "looked up",
            Self::SecondHand => "quoted second-hand",
            Self::Memory => "from memory, not looked up",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{LENGTH, SPREAD};
    use std::collections::HashSet;

    fn size(name: &str, part: Part) -> &'static Size {
        let found = sizes().iter().find(|s| s.name == name && s.part == part);
        found.unwrap_or_else(|| panic!("no {name}, {}", part.word()))
    }

    #[test]
    fn every_size_is_usable_unique_and_has_a_source() {
        let mut seen = HashSet::new();
        for size in sizes() {
            assert!(seen.insert(size.label()), "{} twice", size.label());
            assert!(LENGTH.contains(&size.metres), "{}", size.label());
            assert!(SPREAD.contains(&size.known().spread), "{}", size.label());
            assert!(size.percent <= 40.0, "{}", size.label());
            assert!(size.source.len() > 5, "{}", size.label());
        }
        assert!(seen.len() >= 45, "{}", seen.len());
    }

    #[test]
    fn each_board_stands_together_in_order() {
        assert!(sizes().is_sorted_by_key(|size| size.group));
    }

    /// ANSUR II (Gordon et al., NATICK/TR-15/007), means and standard deviations in mm.
    #[test]
    fn people_are_as_tall_as_the_survey_says() {
        for (name, mean, sd) in [
            ("man, standing", 1756.2, 68.6),
            ("woman, standing", 1628.5, 64.2),
            ("man, to the shoulders", 1440.7, 63.3),
            ("woman, sitting, from the seat", 856.6, 33.1),
        ] {
            let size = size(name, Part::Height);
            assert!((size.metres - mean / 1000.0).abs() <= 0.0006, "{name} {}", size.metres);
            assert!((size.percent - 100.0 * sd / mean).abs() <= 0.06, "{name} {}", size.percent);
        }
    }

    /// The variance of an even mixture is the mean of the variances and the square of half the
    /// difference of the means.
    #[test]
    fn a_mixed_adult_holds_men_and_women() {
        let (man, woman) =
            (size("man, standing", Part::Height), size("woman, standing", Part::Height));
        let adult = size("adult, standing", Part::Height);
        let sd = |s: &Size| s.metres * s.known().spread;
        let within = (sd(man).powi(2) + sd(woman).powi(2)) / 2.0;
        let between = ((man.metres - woman.metres) / 2.0).powi(2);
        assert!((adult.metres - (man.metres + woman.metres) / 2.0).abs() < 0.001);
        assert!((sd(adult) - (within + between).sqrt()).abs() < 0.002);
    }

    #[test]
    fn published_sizes_are_the_published_ones() {
        for (name, part, metres) in [
            ("child of 10 years", Part::Height, 1.382), // WHO 2007: boys 137.78, girls 138.64 cm
            ("doorway, clear", Part::Height, 2.032),    // International Building Code: 80 in
            ("railway, between the rails", Part::Width, 1.435), // international standard gauge
            ("container, 40 ft", Part::Length, 12.192), // ISO 668, 1AA
            ("football goal", Part::Width, 7.32),       // FIFA Law 1
            ("ship that just fits the old Panama locks", Part::Length, 294.1), // MARAD
            ("long-haul airliner (code E)", Part::Width, 58.5), // ICAO Annex 14: 52 to 65 m
        ] {
            assert_eq!(size(name, part).metres, metres, "{name}");
        }
    }

    #[test]
    fn a_size_is_found_by_any_words_in_any_order_and_case() {
        let names = |words| find(words).iter().map(|s| s.label()).collect::<Vec<_>>();
        assert_eq!(names("LENGTH articulated"), ["articulated lorry, length"]);
        assert_eq!(names("goal height sport"), ["football goal, height"]);
        assert_eq!(names("adult, standing"), ["adult, standing, height"]);
        assert!(names("ten metre goblin").is_empty());
        assert_eq!(find("  ").len(), sizes().len());
    }
}
