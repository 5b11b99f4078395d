//! Which words may stand in a field that allows only some? Each choice has one id, which is what
//! files and tables carry. Adding a choice is one line here and one in the contract.

use crate::domain::catalogue::Equipment;

/// A field value that is one of a few.
pub trait Choice: Copy + PartialEq + 'static {
    const ALL: &'static [Self];

    fn id(self) -> &'static str;

    /// The choice of this id; letters may be of either case, blanks stand for underscores.
    fn parse(text: &str) -> Option<Self> {
        let id = text.trim().to_lowercase().replace([' ', '-'], "_");
        Self::ALL.iter().copied().find(|choice| choice.id() == id)
    }

    /// Every id, for a message that says what may be written.
    fn all_ids() -> String {
        let ids: Vec<&str> = Self::ALL.iter().map(|choice| choice.id()).collect();
        ids.join(", ")
    }
}

macro_rules! choices {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $id:literal,)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$doc])* $variant,)+
        }

        impl Choice for $name {
            const ALL: &'static [$name] = &[$($name::$variant),+];

            fn id(self) -> &'static str {
                match self {
                    $($name::$variant => $id,)+
                }
            }
        }
    };
}

choices! {
    /// The seven kinds of record.
    RecordKind {
        Sharpening = "sharpening",
        Adjustment = "adjustment",
        PartReplaced = "part_replaced",
        HeightReading = "height_reading",
        Inspection = "inspection",
        FaultFixed = "fault_fixed",
        Hours = "hours",
    }
}

impl Choice for Equipment {
    const ALL: &'static [Equipment] = &Equipment::ALL;

    fn id(self) -> &'static str {
        Equipment::id(self)
    }
}

choices! {
    /// How an edge was made sharp.
    SharpeningMethod {
        /// Lapping compound on a slow reel turning backwards.
        Backlap = "backlap",
        /// The reel turned against a wheel, to a cylinder.
        SpinGrind = "spin_grind",
        /// Metal taken off behind the land.
        ReliefGrind = "relief_grind",
        BedknifeGrind = "bedknife_grind",
        /// A rotary blade on a wheel or belt.
        BladeGrind = "blade_grind",
        /// A file, stone or hand grinder on a nick.
        HandDress = "hand_dress",
        Other = "other",
    }
}

choices! {
    /// What was set.
    AdjustmentTarget {
        ReelToBedknife = "reel_to_bedknife",
        HeightOfCut = "height_of_cut",
        BedknifeAttitude = "bedknife_attitude",
        Rollers = "rollers",
        GroomerDepth = "groomer_depth",
        BrushContact = "brush_contact",
        VerticutDepth = "verticut_depth",
        DeckLevel = "deck_level",
        DeckRake = "deck_rake",
        WeightTransfer = "weight_transfer",
        TyrePressure = "tyre_pressure",
        BeltTension = "belt_tension",
        Speed = "speed",
        Other = "other",
    }
}

choices! {
    /// Where on a unit, deck or machine, seen from behind and facing the way it travels.
    Place {
        Left = "left",
        Right = "right",
        Both = "both",
        Middle = "middle",
        Front = "front",
        Rear = "rear",
        FrontLeft = "front_left",
        FrontRight = "front_right",
        RearLeft = "rear_left",
        RearRight = "rear_right",
    }
}

choices! {
    /// Which way something was moved.
    Direction {
        Up = "up",
        Down = "down",
        In = "in",
        Out = "out",
        Forward = "forward",
        Back = "back",
        Tighter = "tighter",
        Looser = "looser",
    }
}

choices! {
    /// Why a part came off. Only `failed` and `worn_out` are ends of a life; the others are lives
    /// that were cut short.
    ReplacementReason {
        Failed = "failed",
        WornOut = "worn_out",
        Damaged = "damaged",
        Planned = "planned",
    }
}

choices! {
    /// How a height was read.
    HeightMethod {
        /// Set or measured on the bench, however it was done.
        Bench = "bench",
        /// Gauge bar across the rollers.
        Bar = "bar",
        /// Prism or other gauge stood on the turf: the height that is really mown.
        Prism = "prism",
    }
}

choices! {
    /// What an inspection found of one item.
    Condition {
        Good = "good",
        /// Sound today, look again.
        Watch = "watch",
        Bad = "bad",
    }
}

choices! {
    /// What an area is.
    Surface {
        Green = "green",
        Collar = "collar",
        Tee = "tee",
        Fairway = "fairway",
        Rough = "rough",
        Pitch = "pitch",
        Lawn = "lawn",
        Other = "other",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_is_read_as_people_write_it() {
        for text in ["spin_grind", "Spin grind", " SPIN-GRIND "] {
            assert_eq!(SharpeningMethod::parse(text), Some(SharpeningMethod::SpinGrind), "{text}");
        }
        assert_eq!(SharpeningMethod::parse("spin"), None);
        assert_eq!(Condition::all_ids(), "good, watch, bad");
    }
}
