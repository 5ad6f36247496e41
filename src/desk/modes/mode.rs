use egui::Key;

/// What a gesture on the canvas does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// Select, move and read.
    #[default]
    Look,
    /// Trace straight edges.
    Line,
    /// Measure things from foot to head.
    Mark,
    /// Say what is in front of what.
    Overlap,
    /// Draw what helps to paint: steps, stairs, circles.
    Guide,
    /// Set ghosts of true size in, to paint over.
    StandIn,
}

impl Mode {
    /// All modes, in the order of their buttons.
    pub const ALL: [Self; 6] =
        [Self::Look, Self::Line, Self::Mark, Self::Overlap, Self::StandIn, Self::Guide];

    /// The word on its button.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Look => "Look",
            Self::Line => "Line",
            Self::Mark => "Mark",
            Self::Overlap => "Overlap",
            Self::Guide => "Guide",
            Self::StandIn => "Stand-in",
        }
    }

    /// Its name in the accessibility tree.
    #[must_use]
    pub fn accessible_name(self) -> &'static str {
        match self {
            Self::Look => "Look mode",
            Self::Line => "Line mode",
            Self::Mark => "Mark mode",
            Self::Overlap => "Overlap mode",
            Self::Guide => "Guide mode",
            Self::StandIn => "Stand-in mode",
        }
    }

    /// What it is for.
    #[must_use]
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Look => "select, move and read what is there",
            Self::Line => "trace straight edges, so that the eye can be read from them",
            Self::Mark => "measure a thing from its foot to its head",
            Self::Overlap => "say which thing hides part of which",
            Self::Guide => "draw equal steps, stairs, circles and cylinders to paint by",
            Self::StandIn => "set ghosts of true size in, to paint over",
        }
    }

    /// What else it is looked for by, in everyday words.
    #[must_use]
    pub const fn other_words(self) -> &'static str {
        match self {
            Self::Look => "pointer arrow pick",
            Self::Line => "perspective vanishing horizon camera",
            Self::Mark => "height size scale distance person people human figure",
            Self::Overlap => "order depth behind front occlusion",
            Self::Guide => "ellipse perspective ruler repeat divide",
            Self::StandIn => "person people human figure height scale crowd box",
        }
    }

    /// The key that turns it on.
    #[must_use]
    pub const fn key(self) -> Key {
        match self {
            Self::Look => Key::Num1,
            Self::Line => Key::Num2,
            Self::Mark => Key::Num3,
            Self::Overlap => Key::Num4,
            Self::Guide => Key::Num6,
            Self::StandIn => Key::Num5,
        }
    }
}
