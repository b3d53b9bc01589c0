//! Tiles for stuffs and colours: an engraver's texture or a tint sign with the first letters, never colour alone.

use super::pen::Pen;

/// Questions whose answers are stuffs or surfaces.
const STUFF_QUESTIONS: &str = "plate_material knob_material spool_material drag_washer_material foot_material body_material \
    gear_material back_material finish cover_metal drag_nut_material spindle_material rotor_metal pawl_material \
    ar_lever_material latch_cover drag_knob cover_screw_material back_supports metal_finish paint_gloss";
/// Questions whose answers are colours.
const COLOUR_QUESTIONS: &str = "plate_colour knob_colour spool_colour button_colour cover_screw_colour";

/// Textures in the tile of 96 × 72, drawn after the tile's ground.
pub(super) const STUFF: [(&str, &str); 31] = [
    ("metal-knurled", "mr6 6 84 60 2;lv6 6 84 60 5;lh6 22 84 28 14"),
    ("silver-plate", "mr6 6 84 60 2;lM48 16q2 18 20 20-18 2-20 20-2-18-20-20 18-2 20-20z"),
    (
        "bronze gunmetal bronzed",
        "mr6 6 84 60 2;fn48 36 5 2 5;fn48 36 13 2 11;fn48 36 21 2 17;lM6 16l10-10M6 26l20-20M90 46l-20 20M90 56l-10 10",
    ),
    (
        "aluminium-chromed",
        "mr6 6 84 60 2;dM20 20l14-4 4 10-10 6zM52 34l16-8 10 12-14 10zM26 50l12-4 6 10-14 2z;lM60 14l10-4",
    ),
    ("zinc metal-unspecified", "mr6 6 84 60 2;lM26 6l60 60M46 6l44 44M66 6l24 24M6 6l60 60M6 26l40 40M6 46l20 20"),
    (
        "hammertone",
        "dr6 6 84 60 4;ln48 36 10 5 5;ln48 36 22 5 11;lo48 36 4;ln20 16 0 5 1;ln20 56 0 5 1;ln76 16 0 5 1;ln76 56 0 5 1",
    ),
    (
        "orange-peel",
        "dr6 6 84 60 4;fn48 36 6 1.5 6;fn48 36 13 1.5 13;fn48 36 20 1.5 20;fn48 36 26 1.5 26;fo16 16 1.5;fo16 56 1.5;fo80 16 1.5;fo80 56 1.5",
    ),
    ("hard-rubber", "dr6 6 84 60 4;lh6 6 84 60 5"),
    ("phenolic bakelite", "dr6 6 84 60 4;lM18 24l16-12m-14 22l32-24"),
    ("plastic other-plastic", "dr6 6 84 60 14;lM18 20q4-8 14-8"),
    (
        "celluloid tortoise marbled",
        "mr6 6 84 60 4;dM14 20q14-12 26 0t-6 18-24-4zM52 14q20-4 28 8t-14 16-20-10zM28 48q16-8 30 0t-4 14-26-2z",
    ),
    ("casein bone", "mr6 6 84 60 4;lM8 20q40-8 80 0M8 34q40-8 80 0M8 48q40-8 80 0"),
    ("ivory-like ivory-plastic", "mr6 6 84 60 14;lM14 18l32 18-32 18M30 12l36 24-36 24M50 8l32 28-32 28M14 36h70"),
    ("nickel-silver nickel-plate nickel-steel", "mr6 6 84 60 2;lM20 30l18-18m-18 34l34-34m-18 40l34-34"),
    ("plated-brass chromed-brass", "mr6 6 84 60 2;lM20 30l18-18m-18 34l34-34;fn70 52 8 1.2 8;fn70 52 3 1.2 4"),
    (
        "brass",
        "mr6 6 84 60 2;fn48 36 6 1.2 6;fn48 36 14 1.2 12;fn48 36 22 1.2 18;fo14 14 1.2;fo24 12 1.2;fo72 12 1.2;fo82 16 1.2;fo14 58 1.2;fo22 62 1.2;fo74 60 1.2;fo84 56 1.2",
    ),
    ("aluminium alloy anodised aluminium-anodised", "mr6 6 84 60 2;lv6 6 84 60 14"),
    ("stainless chrome-plate bright-chrome carbon welded-stainless", "mr6 6 84 60 2;lh6 6 84 60 9;lv6 6 84 60 9"),
    ("steel metal die-cast", "mr6 6 84 60 2;lM6 26l20-20M6 46l40-40M6 66l60-60M26 66l60-60M46 66l44-44M66 66l24-24"),
    (
        "wood",
        "mr6 6 84 60 2;lM6 16q42 8 84 0M6 58q42-8 84 0M6 28q20 4 28 4M62 32q8 0 28-4M6 46q20-4 28-4M62 42q8 0 28 4;le48 37 14 6;le48 37 7 2.5",
    ),
    (
        "leather-bound leather",
        "dr6 6 84 60 8;lr12 12 72 48 4;lM22 24q6-6 12 0m8 6q6-6 12 0m8-8q6-6 12 0m-48 24q6-6 12 0m8 2q6-6 12 0m8-4q6-6 12 0",
    ),
    ("soft-rubber", "dr6 6 84 60 20;lh20 14 56 44 8"),
    (
        "felt",
        "mr6 6 84 60 12;lM16 18l6 4m8-8l2 7m12 0l6-4m10 4l3-6m8 10l8-2M18 36l7-2m8 6l3-7m12 5l7 2m6-6l4 6m10-4l6 3M18 56l5-5m10 6l7-3m10 2l3-7m10 6l7-2m8 2l4-6",
    ),
    ("fibre fibreglass graphite", "mr6 6 84 60 4;lh6 6 84 60 6;lM30 6v60M66 6v60"),
    (
        "cork cork-arbor",
        "mr6 6 84 60 4;fe22 20 4 2;fe44 14 2 3;fe66 24 5 2;fe80 14 2 2;fe30 38 3 2;fe54 40 2 3;fe76 44 4 2;fe18 54 2 3;fe42 56 5 2;fe64 58 2 2",
    ),
    ("ptfe nylon ceramic", "lr6 6 84 60 20;lM22 20q4-8 14-8"),
    ("enamel enamelled gloss", "dr6 6 84 60 4;lM18 24l16-12m-14 22l32-24m-30 34l48-36"),
    (
        "crinkle",
        "dr6 6 84 60 4;lM12 18q5-8 10 0t10 0 10 0 10 0 10 0 10 0 10 0M12 36q5-8 10 0t10 0 10 0 10 0 10 0 10 0 10 0M12 54q5-8 10 0t10 0 10 0 10 0 10 0 10 0 10 0",
    ),
    ("polished satin brushed", "mr6 6 84 60 2;lo48 36 6;lo48 36 13;lo48 36 20;lo48 36 27"),
    ("lead eggshell", "dr6 6 84 60 4;lh6 6 84 60 12"),
    ("worn", "dr6 6 84 60 4;mM20 18q20-12 34 2t24 10-10 22-34 2-26-8 12-28z"),
];

/// The heralds' way of telling tints in black and white, and a letter.
pub(super) const COLOURS: [(&str, &str, &str); 20] = [
    ("black", "K", "lh6 6 84 60 3.5;lv6 6 84 60 3.5"),
    ("brown", "BN", "lM6 26l20-20M6 46l40-40M6 66l60-60M26 66l60-60M46 66l44-44M66 66l24-24"),
    ("marbled", "MB", "lM14 20q14-12 26 0t-6 18-24-4zM52 14q20-4 28 8t-14 16-20-10zM28 48q16-8 30 0t-4 14-26-2z"),
    ("red", "R", "lv6 6 84 60 6"),
    ("maroon", "M", "lv6 6 84 60 4"),
    ("green", "GN", "lM26 6l60 60M46 6l44 44M66 6l24 24M6 6l60 60M6 26l40 40M6 46l20 20"),
    ("blue", "BU", "lh6 6 84 60 6"),
    ("grey", "GY", "lh6 6 84 60 10;lv6 6 84 60 10"),
    ("silver", "S", "lM20 30l18-18m-18 34l34-34"),
    ("gold", "GD", "fn48 36 10 1.3 8;fn48 36 19 1.3 14;fn48 36 27 1.3 20"),
    ("white", "W", ""),
    ("two-colour", "2", "fM6 66v-60h42z"),
    ("wood", "WD", "lM6 16q42 8 84 0M6 30q42 8 84 0M6 44q42 8 84 0M6 58q42 8 84 0"),
    ("pink", "P", "lv6 6 84 60 12"),
    ("ivory", "I", "fn48 36 24 1.3 10"),
    ("amber", "A", "fn48 36 14 1.3 8;fn48 36 24 1.3 12"),
    ("tortoise", "T", "lM14 20q14-12 26 0t-6 18-24-4zM52 14q20-4 28 8t-14 16-20-10zM28 48q16-8 30 0t-4 14-26-2z"),
    ("metal", "ME", "lM20 30l18-18m-18 34l34-34m-18 40l34-34"),
    ("plain", "—", "lM20 30l18-18m-18 34l34-34m-18 40l34-34"),
    ("other", "?", ""),
];

fn asks(questions: &str, feature: &str) -> bool {
    questions.split_ascii_whitespace().any(|question| question == feature)
}

/// Draws the tile of a stuff or a colour; false if the question asks for neither, or the answer has no tile.
pub(super) fn tile(pen: &mut Pen, feature: &str, state: &str) -> bool {
    let stuff = STUFF.iter().find(|(states, _)| asks(STUFF_QUESTIONS, feature) && asks(states, state));
    if let Some((_, script)) = stuff {
        pen.script(script, &[]);
        return true;
    }
    let colour = COLOURS.iter().find(|(id, ..)| asks(COLOUR_QUESTIONS, feature) && *id == state);
    if let Some((_, letters, script)) = colour {
        pen.script("lr6 6 84 60 4", &[]);
        pen.script(script, &[]);
        pen.script("mo48 36 15", &[]);
        pen.words(48.0, 42.0, 17.0, "middle", letters);
    }
    colour.is_some()
}
