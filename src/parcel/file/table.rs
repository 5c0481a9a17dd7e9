//! The fields of the sections `packs`, `weights`, `limits`, `rates` and `goods`.

use super::scalar::{DAYS, EXTENT, FACE, FACTOR, LEFT, MASS, SIZE, STEP};
use crate::fields::{CURRENCY, LINE, LONG_ID, ORIGIN, PRICE};
use crate::record::{FLAG, Field, Kind, Record, optional, required, scalar};

/// What stands under `packs`.
pub(crate) const PACKS: Kind = Kind::List(&Kind::Map(&PACK));

/// What stands under `weights`.
pub(crate) const WEIGHTS: Kind = Kind::Map(&WEIGHT_RULES);

/// What stands under `limits`.
pub(crate) const LIMITS: Kind = Kind::Named(&Kind::Map(&LIMIT_SET));

/// What stands under `rates`.
pub(crate) const RATES: Kind = Kind::Map(&RATE_TABLE);

/// What stands under `goods`.
pub(crate) const GOODS: Kind = Kind::List(&Kind::Map(&GOOD));

/// What stands under `stamps`.
pub(crate) const STAMPS: Kind = Kind::List(&Kind::Map(&STAMP));

/// The word for a zone of all countries that no other zone lists.
pub(super) const ELSEWHERE: &str = "elsewhere";

/// The words for units of length that figures are shown in.
pub(super) const LENGTH_UNITS: &[&str] = &["mm", "cm", "in"];

/// The words for units of weight that figures are shown in.
pub(super) const MASS_UNITS: &[&str] = &["g", "kg", "oz", "lb"];

/// The words for the rounding of sides.
pub(super) const SIDE_WORDS: &[&str] =
    &["as measured", "nearest cm", "next cm", "nearest in", "next in"];

/// One kind of packaging.
pub(super) static PACK: Record = Record {
    name: "pack",
    doc: "One kind of packaging.",
    fields: &[
        required("name", Kind::Scalar(&LINE), "its name, unique in the file"),
        required(
            "inside",
            Kind::Scalar(&SIZE),
            "length, width and height inside as it stands, such as `220 x 110 x 40 mm`",
        ),
        scalar("outside", &SIZE, "length, width and height outside; default: as inside"),
        scalar("padding", &EXTENT, "what stays free along each inner wall; default: nothing"),
        scalar("max_weight", &MASS, "what the parcel may weigh when packed, such as `2 kg`"),
        scalar("own_weight", &MASS, "what it weighs itself, such as `64 g`"),
        scalar("left", &LEFT, "how many are left; not counted when left out"),
        scalar("flat_rate", &LINE, "the service whose flat price it carries; default: by weight"),
    ],
};

/// How weights and sizes are found and shown.
pub(super) static WEIGHT_RULES: Record = Record {
    name: "weights",
    doc: "How weights and sizes are found and shown.",
    fields: &[
        optional("show_lengths_in", Kind::Word(LENGTH_UNITS), "the unit of lengths; default: `mm`"),
        optional(
            "show_weights_in",
            Kind::Word(MASS_UNITS),
            "the unit of weights; default: `g` below 1 kg, `kg` from there",
        ),
        VOLUME_FACTOR,
        ROUND_SIDES,
        ROUND_WEIGHT,
        scalar("caution_from", &MASS, "from when a parcel is marked heavy; default: `16 kg`"),
        scalar("team_lift_from", &MASS, "from when two should lift it; default: `20 kg`"),
        scalar("wrap", &EXTENT, "what wrapping adds on every side of an item; default: nothing"),
        scalar("wrapping_weight", &MASS, "what wrapping, stuffing and cards weigh in a parcel"),
    ],
};

/// The factor of size and weight.
const VOLUME_FACTOR: Field = scalar(
    "volume_factor",
    &FACTOR,
    "what volume counts as what weight, such as `6000 cm3/kg`; default: only the scale counts",
);

/// Of the sides that volume is taken from.
const ROUND_SIDES: Field = optional(
    "round_sides",
    Kind::Word(SIDE_WORDS),
    "how each side is rounded before its volume is taken; default: `as measured`",
);

/// Of the weight that is charged for.
const ROUND_WEIGHT: Field = scalar(
    "round_weight_up_to",
    &STEP,
    "the step that charged weights are rounded up to, such as `500 g`; default: `none`",
);

/// What may be limited of a parcel; each by itself.
pub(super) static LIMIT_SET: Record = Record {
    name: "limits",
    doc: "What a service takes; what is left out is not limited.",
    fields: &[
        scalar("longest", &EXTENT, "the longest side"),
        scalar("length_and_girth", &EXTENT, "the longest side and twice the two others together"),
        scalar("sum_of_sides", &EXTENT, "all three sides together"),
        scalar("within", &SIZE, "the size it must lie within, turned as it may be"),
        scalar("smallest_face", &FACE, "the least that its largest face must measure"),
        scalar("weight", &MASS, "the weight on the scale"),
    ],
};

/// A table of prices.
pub(super) static RATE_TABLE: Record = Record {
    name: "rate table",
    doc: "What it costs to send a parcel.",
    fields: &[
        scalar("currency", &CURRENCY, "the currency of all prices; default: the shop's"),
        required("zones", Kind::Named(&ZONE), "countries with one price, by the zone's name"),
        required("services", Kind::List(&Kind::Map(&SERVICE)), "what carries parcels"),
    ],
};

/// The countries of a zone.
static ZONE: Kind = Kind::Either(&[Kind::List(&Kind::Scalar(&ORIGIN)), Kind::Word(&[ELSEWHERE])]);

/// One way to send a parcel.
pub(super) static SERVICE: Record = Record {
    name: "service",
    doc: "One way to send a parcel.",
    fields: &[
        required("name", Kind::Scalar(&LINE), "its name, unique in the file"),
        scalar("tracked", &FLAG, "whether the parcel can be followed; default: `false`"),
        scalar("signature", &FLAG, "whether the recipient signs; default: `false`"),
        scalar("insured_to", &PRICE, "the value it is insured to; default: not insured"),
        optional(
            "days",
            Kind::Either(&[Kind::Scalar(&DAYS), Kind::Named(&Kind::Scalar(&DAYS))]),
            "the days it takes at most, or these by zone",
        ),
        optional(
            "limits",
            Kind::Either(&[Kind::Scalar(&LINE), Kind::List(&Kind::Scalar(&LINE))]),
            "its limits, by name; `letter`, `small parcel` and `parcel` are known",
        ),
        VOLUME_FACTOR,
        ROUND_SIDES,
        ROUND_WEIGHT,
        required(
            "prices",
            Kind::Named(&Kind::Either(&[Kind::Scalar(&PRICE), Kind::Named(&Kind::Scalar(&PRICE))])),
            "by zone, a flat price or prices up to a weight: `{250 g: 3.20, 1 kg: 4.80}`",
        ),
        optional("extras", Kind::List(&Kind::Map(&EXTRA)), "what can be added to it"),
    ],
};

/// Something added to a service.
pub(super) static EXTRA: Record = Record {
    name: "extra",
    doc: "Something added to a service for a price.",
    fields: &[
        required("name", Kind::Scalar(&LINE), "its name, unique in its service"),
        required("price", Kind::Scalar(&PRICE), "its price"),
        scalar("tracked", &FLAG, "whether it makes the parcel one that can be followed"),
        scalar("signature", &FLAG, "whether it makes the recipient sign"),
        scalar("insured_to", &PRICE, "the value it insures the parcel to"),
    ],
};

/// An article as a box.
pub(super) static GOOD: Record = Record {
    name: "good",
    doc: "An article as a box, so that packs can be chosen.",
    fields: &[
        required("sku", Kind::Scalar(&LONG_ID), "its stock-keeping number, unique in the file"),
        scalar("size", &SIZE, "length, width and height of one as it stands"),
        scalar("weight", &MASS, "the weight of one; the order's own weight goes before it"),
        scalar("this_side_up", &FLAG, "whether it must stay upright; default: `false`"),
    ],
};

/// A kind of stamp.
pub(super) static STAMP: Record = Record {
    name: "stamp",
    doc: "A kind of stamp, for parcels that go by a service without tracking.",
    fields: &[
        required(
            "name",
            Kind::Scalar(&LINE),
            "what it is called on card and label, unique in the file",
        ),
        required("value", Kind::Scalar(&PRICE), "what it is worth, in the currency of the rates"),
        scalar("left", &LEFT, "how many are in the drawer; not counted when left out"),
    ],
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parcel::billing::SIDE_ROUNDINGS;
    use crate::parcel::units::{LengthUnit, MassUnit};
    use crate::record::{OtherFields, kind_schema};

    const ALL: [&Record; 8] =
        [&PACK, &WEIGHT_RULES, &LIMIT_SET, &RATE_TABLE, &SERVICE, &EXTRA, &GOOD, &STAMP];

    #[test]
    fn fields_have_names_of_their_own_and_a_sentence() {
        for record in ALL {
            for (index, field) in record.fields.iter().enumerate() {
                let others = &record.fields[..index];
                assert!(others.iter().all(|it| it.name != field.name), "{}", field.name);
                assert!(!field.doc.is_empty() && !field.doc.ends_with('.'), "{}", field.name);
                let plain = |c: char| c.is_ascii_lowercase() || c == '_';
                assert!(field.name.chars().all(plain), "{}", field.name);
            }
        }
    }

    #[test]
    fn words_lead_to_values() {
        let known: Vec<&str> = SIDE_ROUNDINGS.iter().map(|(word, _)| *word).collect();
        assert_eq!(known, SIDE_WORDS);
        assert!(LENGTH_UNITS.iter().all(|word| LengthUnit::parse(word).is_some()));
        assert!(MASS_UNITS.iter().all(|word| MassUnit::parse(word).is_some()));
    }

    #[test]
    fn a_service_overrides_what_the_shop_rules_and_in_the_same_words() {
        for name in ["volume_factor", "round_sides", "round_weight_up_to"] {
            let of =
                |record: &Record| record.fields.iter().position(|it| it.name == name).is_some();
            assert!(of(&WEIGHT_RULES) && of(&SERVICE), "{name}");
        }
    }

    #[test]
    fn every_section_has_a_schema() {
        for section in [PACKS, WEIGHTS, LIMITS, RATES, GOODS, STAMPS] {
            let schema = kind_schema(section, OtherFields::Refused);
            jsonschema::validator_for(&schema).unwrap();
        }
    }
}
