//! Cautions for parcels that strain a back.
//!
//! In: a weight and the shop's thresholds. Out: which caution it asks for, in words for the card
//! and the list. The thresholds are ours and no limits, so nothing is refused here: the law names no
//! weight that is safe for all (hse.gov.uk, "FAQs: manual handling"), ISO 11228-1:2021 is about
//! objects from 3 kg on, and "heavy" from somewhere between 15 and 25 kg is common practice.

use super::units::{Mass, Units};
use crate::findings::{Rule, rules};

/// From which weights a parcel asks for care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeavyRules {
    /// From here on it says that it is heavy; 16 kg by default.
    pub caution_from: Mass,
    /// From here on it says that two should lift it; 20 kg by default.
    pub team_lift_from: Mass,
}

impl Default for HeavyRules {
    fn default() -> HeavyRules {
        HeavyRules {
            caution_from: Mass::from_grams(16_000),
            team_lift_from: Mass::from_grams(20_000),
        }
    }
}

/// How heavy a parcel is to a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeavyLevel {
    /// One person can lift it with care.
    Caution,
    /// Two persons should lift it.
    TeamLift,
}

impl HeavyLevel {
    /// The rule of its finding.
    pub(crate) fn rule(self) -> &'static Rule {
        match self {
            HeavyLevel::Caution => &rules::HEAVY_PARCEL,
            HeavyLevel::TeamLift => &rules::TEAM_LIFT,
        }
    }

    /// The word for scripts.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.rule().name
    }
}

/// What is said of a parcel that is heavy to lift.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeavyCaution {
    /// Whether care is enough, or two should lift it.
    pub level: HeavyLevel,
    /// The weight in words: `heavy: 17.2 kg`.
    pub short: String,
    /// The weight; cards and lists put it into words of their own language.
    pub weight: Mass,
    /// What to do about it, in a sentence.
    pub advice: String,
}

/// The caution a weight asks for, if any.
#[must_use]
pub fn caution(weight: Mass, rules: HeavyRules, units: Units) -> Option<HeavyCaution> {
    if weight < rules.caution_from.min(rules.team_lift_from) {
        return None;
    }
    let shown = units.mass(weight);
    let defer = "the carrier's and your local rules may ask for more";
    if weight >= rules.team_lift_from {
        let from = units.mass(rules.team_lift_from);
        return Some(HeavyCaution {
            level: HeavyLevel::TeamLift,
            short: format!("lift in twos: {shown}"),
            weight,
            advice: format!("from {from} on let two people lift it, or split it; {defer}"),
        });
    }
    (weight >= rules.caution_from).then(|| HeavyCaution {
        level: HeavyLevel::Caution,
        short: format!("heavy: {shown}"),
        weight,
        advice: format!(
            "from {} on tell whoever lifts it what it weighs; {defer}",
            units.mass(rules.caution_from)
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Caution from 16 kg, team lift from 20 kg.
    #[test]
    fn thresholds_are_met_from_below() {
        let level = |grams| {
            caution(Mass::from_grams(grams), HeavyRules::default(), Units::default())
                .map(|caution| caution.level)
        };
        assert_eq!(level(15_999), None);
        assert_eq!(level(16_000), Some(HeavyLevel::Caution));
        assert_eq!(level(19_999), Some(HeavyLevel::Caution));
        assert_eq!(level(20_000), Some(HeavyLevel::TeamLift));
    }

    #[test]
    fn the_words_say_the_weight_and_defer() {
        let of = |grams| {
            caution(Mass::from_grams(grams), HeavyRules::default(), Units::default()).unwrap()
        };
        assert_eq!(of(17_200).short, "heavy: 17.2 kg");
        assert_eq!(of(22_000).short, "lift in twos: 22 kg");
        assert_eq!(of(17_200).weight, Mass::from_grams(17_200));
        assert!(of(17_200).advice.contains("local rules"));
    }
}
