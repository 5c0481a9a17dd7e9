//! Words for settings that people bring from elsewhere, and where the same thing is set here.

/// Settings of a style that are looked for on a block.
const OF_A_TYPE: &[&str] =
    &["family", "size", "smallest", "weight", "spacing", "leading", "capitals", "like"];

/// What people call a setting, and what it is here: words that are not near in their letters.
const OF_A_BLOCK: &[(&[&str], &str)] = &[
    (&["bold", "font_weight"], "bold is `weight: bold` in a `type` at the top: name that here"),
    (
        &["font", "font_family", "typeface"],
        "a font is the `family` in a `type` at the top: name that here",
    ),
    (
        &["font_size", "fontsize"],
        "the `size` of letters stands in a `type` at the top: name that here",
    ),
    (&["letter_spacing", "tracking"], "that is `spacing` in a `type` at the top: name that here"),
    (&["line_height", "line_spacing"], "that is `leading` in a `type` at the top: name that here"),
    (&["uppercase", "caps"], "that is `capitals` in a `type` at the top: name that here"),
    (
        &["valign", "vertical_align", "vertical"],
        "from top to bottom it is `sit`: `top`, `middle` or `bottom`",
    ),
    (
        &["halign", "text_align", "justify", "horizontal"],
        "from left to right it is `align`: `left`, `center` or `right`",
    ),
    (
        &["margin", "padding"],
        "room around what is inside is `inset`: one length, or four from the top clockwise",
    ),
    (
        &["color", "colour", "fill", "background", "background_color"],
        "there is black and white: `ink: reversed` prints white on black",
    ),
    (
        &["rotate", "rotation", "angle", "turn"],
        "only a page of a PDF can be turned: `turn` of `page_of`",
    ),
    (&["x", "y", "left", "top", "position"], "a place is `at: [x, y]`, inside an `over`"),
    (
        &["spacing_between", "space"],
        "room between blocks is the `gap` of the `down` or `across` around them",
    ),
    (&["if", "show_if", "visible"], "that is `when`: the block is left out where it does not hold"),
];

/// What people call a setting of a style, and what it is here.
const INSIDE_A_TYPE: &[(&[&str], &str)] = &[
    (&["font", "font_family", "typeface", "face", "name"], "a font is named by `family`"),
    (&["bold", "font_weight"], "write `weight: bold`"),
    (&["font_size", "fontsize"], "write `size`"),
    (&["letter_spacing", "tracking"], "write `spacing`"),
    (&["line_height", "line_spacing"], "write `leading`"),
    (&["uppercase", "caps"], "write `capitals: true`"),
    (&["min_size", "minimum", "least"], "write `smallest`"),
    (
        &["color", "colour"],
        "there is black and white: `ink: reversed` on a block prints white on black",
    ),
    (&["align", "fit", "sit", "width", "height"], "that is said of a block, not of a `type`"),
];

/// The name as the tables spell it.
fn fold(name: &str) -> String {
    name.to_lowercase().replace(['-', ' '], "_")
}

/// What stands beside a name in a table, in whatever case it is written.
fn look_up(table: &[(&[&str], &str)], name: &str) -> Option<String> {
    let name = fold(name);
    let found = table.iter().find(|(names, _)| names.contains(&name.as_str()));
    found.map(|(_, hint)| (*hint).to_owned())
}

/// Where that is set which somebody looked for among a block's settings.
pub(super) fn mean_in_block(name: &str) -> Option<String> {
    if OF_A_TYPE.contains(&name) {
        return Some(format!(
            "`{name}` belongs into a `type` at the top: write it there, and name that `type` here"
        ));
    }
    look_up(OF_A_BLOCK, name)
}

/// Where that is set which somebody looked for among a style's settings.
pub(super) fn mean_in_type(name: &str) -> Option<String> {
    look_up(INSIDE_A_TYPE, name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_from_elsewhere_lead_to_ours() {
        for (word, ours) in [
            ("weight", "`type`"),
            ("smallest", "`type`"),
            ("font", "`family`"),
            ("font-family", "`family`"),
            ("valign", "`sit`"),
            ("bold", "`weight: bold`"),
            ("color", "`ink: reversed`"),
            ("margin", "`inset`"),
            ("rotate", "`turn`"),
            ("padding", "`inset`"),
            ("fill", "`ink: reversed`"),
        ] {
            assert!(mean_in_block(word).unwrap().contains(ours), "{word}");
        }
        assert!(mean_in_type("font").unwrap().contains("`family`"));
        assert_eq!(mean_in_block("heigth"), None);
    }
}
