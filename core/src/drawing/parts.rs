//! The parts of a reel as scripts of the [`pen`](super::pen): one line for each answer, sheet of 96 × 72.

pub(super) type Answers = (&'static str, &'static [(&'static str, &'static str)]);

/// Pieces that several drawings share. Names are sought with `@`.
pub(super) const SHARED: [(&str, &str); 20] = [
    (
        "fingers",
        "dM98 12h-16q-7 0-7 5t7 5h16zM98 23h-23q-7 0-7 5t7 5h23zM98 34h-23q-7 0-7 5t7 5h23zM98 45h-18q-7 0-7 5t7 5h18z",
    ),
    ("plate", "(;lo48 36 32;)"),
    ("side", "(;lr16 8 10 56 2;lr70 8 10 56 2;lM26 14h44m-44 44h44;)"),
    ("cage", "(;lr4 6 8 60 2;lr84 6 8 60 2;lr18 16 60 26;lv18 16 60 26 6;)"),
    (
        "worm",
        "mr12 48 72 10;lM14 48l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10m10-10l8 10m0-10l-8 10",
    ),
    ("guide", "mr-7 30 14 34 3;lr-3 33 6 11 3"),
    ("crank", "mM30 18l36 28-5 6-36-28z;mo30 24 7;do64 50 9"),
    ("gear", "mo0 0 20;ly0 0 20 25 20;lo0 0 5"),
    ("pinion", "mo0 0 10;ly0 0 10 14 10;lo0 0 3"),
    ("pawl", "dM-4-16h8l2 22-6 8-6-8z;mo0-12 2.500"),
    ("spinhead", "(;lr52 12 18 48 3;lr26 20 26 32;lr18 16 8 40 2;)"),
    (
        "spin",
        "(;lM42 22h24q16 2 18 14-4 14-20 16h-22z;lr32 18 10 38;lr16 22 16 30;lM54 22v-12h-16v-5h40v5h-16v12;)",
    ),
    ("body", "(;lM14 14h44q24 4 26 22-4 20-28 22h-42z;)"),
    (
        "closed",
        "(;lr20 18 34 36 8;lr54 14 7 44;lM61 17q20 6 24 17v4q-6 11-24 17M34 54v12h16v-12;)",
    ),
    ("foot", "mM6 58l14-5h56l14 5-14 5h-56z"),
    ("flydrum", "(;lo48 36 32;lo48 36 27;lo48 36 5;)"),
    ("star", "m*48 36 11 22 6;mo48 36 5"),
    ("lever", "ly48 36 24 29 22;mM43 36l24-30 6 5-20 30z;do69 9 5;mo48 36 6"),
    ("back", "(;lo48 36 32;)"),
    ("tree", "(;lr8 6 80 6 2;lr42 12 12 12;)"),
];

/// What the hand meets: handle, knobs, drag, controls, feet.
pub(super) const HELD: &[Answers] = &[
    (
        "handle_form",
        &[
            ("single-crank", "@crank"),
            (
                "counterweight",
                "mM20 10l46 36-5 6-46-36z;dr6 2 20 17 5;mo36 26 6;do64 50 9",
            ),
            ("double", "mM44 12h8v48h-8z;mo48 36 6;de48 10 17 8;de48 62 17 8"),
            (
                "s-crank",
                "mM38 10q-16 24 5 27 12 3 4 26h10q18-26-5-31-10-2-2-22z;mo48 36 6;de44 9 15 7;de52 63 15 7",
            ),
            (
                "ball-balance",
                "mM24 16l44 34-3 5-44-34z;mo19 14 11;mo42 32 6;do66 53 9",
            ),
            ("on-spool", "@flydrum;db64 20 7 14-3"),
            ("two-on-spool", "@flydrum;db62 18 7 14-3;db26 54 7 14-3"),
            (
                "folding",
                "mM12 20h34v9h-34z;mM44 20l27 27-7 7-27-27z;mo43 25 7;lo43 25 3;db68 52 8 12 0;lM66 8q18 6 18 24;fM79 30h10l-5 9z",
            ),
            ("t-bar", "mM10 31h54v10h-54z;mo16 36 9;dr58 8 18 56 8"),
        ],
    ),
    (
        "knob_shape",
        &[
            ("barrel", "mr44 58 8 12;dM34 12h28q9 23 0 46h-28q-9-23 0-46z"),
            (
                "acorn",
                "mr44 58 8 12;dM48 6q22 4 20 24-2 18-14 28h-12q-12-10-14-28-2-20 20-24z",
            ),
            ("tapered", "mr44 58 8 12;dM38 10h20l8 48h-36z"),
            (
                "torpedo",
                "mr44 58 8 12;dM48 4q17 18 13 36-1 10-7 18h-12q-6-8-7-18-4-18 13-36z",
            ),
            ("flat-paddle", "de48 30 40 18;mo48 30 5;dr10 58 76 8 4;mr44 52 8 6"),
            ("round", "mr44 58 8 12;do48 34 25"),
            ("t", "mr44 58 8 12;dM12 12h72q7 9 0 18h-22v28h-28v-28h-22q-7-9 0-18z"),
            ("button", "mr44 58 8 12;dM34 46q14-16 28 0v12h-28z"),
            ("block", "mr44 58 8 12;dr18 18 60 40 2"),
        ],
    ),
    (
        "handle_fixing",
        &[
            ("nut", "mM48 12l21 12v24l-21 12-21-12v-24z;lo48 36 11"),
            (
                "nut-and-keeper",
                "mr8 24 48 24 4;mo18 36 7;lM13 38l10-4;mM62 14l19 11v22l-19 11-19-11v-22z;lo62 36 10",
            ),
            ("screw", "mo48 36 22;lM28 39l38-12M30 45l38-12"),
            ("pin", "mo48 36 22;mr12 30 72 12 5"),
            (
                "riveted",
                "mo48 36 22;lo48 36 9;lM48 18v6m13 0l-4 5m9 7h-6m1 13l-4-5m-9 10v-6m-13 1l4-5m-9-8h6m-1-12l4 5",
            ),
            (
                "threaded-shaft",
                "mr38 6 20 60;lM38 14l20 6m-20 2l20 6m-20 2l20 6m-20 2l20 6m-20 2l20 6m-20 2l20 6",
            ),
            ("cap", "mM24 52v-12q24-30 48 0v12z;lM24 45h48"),
        ],
    ),
    (
        "crank_nut",
        &[
            ("plain", "mM48 12l21 12v24l-21 12-21-12v-24z;lo48 36 11"),
            ("slotted", "mM48 12l21 12v24l-21 12-21-12v-24z;lM30 33h36m-36 6h36"),
        ],
    ),
    (
        "drag_control",
        &[
            ("star", "@plate;@star"),
            ("lever", "@plate;@lever"),
            (
                "spool-knob",
                "(;lr40 18 50 36 6;);mr30 14 9 44;mr10 24 20 24 4;lM10 30h20m-20 6h20m-20 6h20",
            ),
            (
                "rear-knob",
                "(;lM6 16h40q12 4 14 12v16q-2 8-14 12h-40z;);mr62 25 24 22 4;lM62 31h24m-24 5h24m-24 5h24",
            ),
            ("rim-knob", "@plate;mo26 50 14;ly26 50 9 14 16"),
            ("screw", "@plate;mo30 50 9;lM24 53l12-6"),
            (
                "handle-drag",
                "@plate;mM44 36h8v32h-8z;mo48 36 18;ly48 36 13 18 20;do48 65 6",
            ),
            (
                "thumb-brake",
                "(;lr10 46 76 20;lv10 46 76 20 6;);dM22 28q26-16 52 0v16h-52z;mr42 6 12 14",
            ),
            ("rim-pressure", "mo40 36 30;lo40 36 25;(;lo40 36 6;);@fingers"),
            (
                "cam-dial",
                "@plate;mo48 36 22;ly48 36 16 22 24;fM48 20l5 9h-10z;ft 48 46 12 1-9",
            ),
            ("thumb-lever", "@cage;mr30 46 36 10 3;mM44 54h8v14h-8z"),
        ],
    ),
    (
        "free_spool_control",
        &[
            (
                "lever-swing",
                "@plate;mM42 34l22-24 8 6-20 26z;mo47 38 8;lM80 26q6 12 2 24;fM77 48h10l-6 9z",
            ),
            (
                "lever-pull",
                "@plate;mr43 6 10 34 4;lM66 14v24;fM61 36h10l-5 9zM61 16h10l-5-9z",
            ),
            ("push-button", "@plate;mo48 36 13;lo48 36 8"),
            ("thumb-bar", "@cage;mr14 48 68 14 6"),
            ("slide", "@plate;lr28 28 40 16 8;mo38 36 9;lM40 54h22;fM61 49v10l9-5z"),
            (
                "turn-knob",
                "@plate;mo48 36 14;ly48 36 9 14 16;lM70 18q12 14 4 32;fM69 48h10l-6 9z",
            ),
            (
                "handle-back",
                "mM36 34h8v28h-8z;mo40 34 7;do40 62 8;lM70 58a32 32 0 0 0-10-44;fM63 8l-11 4 9 8z",
            ),
            (
                "handle-pull",
                "(;lr6 8 18 56 2;);mr24 31 28 10;mr52 10 9 50 2;dr60 46 16 14 4;lM66 26h18;fM82 21v10l10-5z",
            ),
            ("lever-drag", "@plate;@lever"),
        ],
    ),
    (
        "free_spool_place",
        &[
            ("head-top", "@plate;mo48 14 8"),
            ("head-rear", "@plate;mo71 28 8;lM96 36h-12"),
            ("head-front", "@plate;mo25 28 8;lM0 36h12"),
            ("head-bottom", "@plate;mo40 58 8"),
            ("tail", "@side;mr12 8 14 56 2;mr4 28 8 14 2"),
            ("frame", "@side;mr28 28 40 16 4"),
            ("rim", "@plate;mr64 4 16 14 4"),
        ],
    ),
    (
        "control_form",
        &[
            ("flat-skirted", "mM20 54h56l-14-24h-28z;lM34 30h28"),
            ("grooved-hand", "mr24 18 48 40 4;lv26 18 44 40 6"),
            ("wrench-cap", "mM20 58h56v-10h-56zM28 48v-24h40v24zM40 24v24m16-24v24"),
            ("clover-leaf", "mo36 46 13;mo60 46 13;mo48 24 13;do48 38 6"),
            ("smooth-lever", "mo26 46 10;mM22 38l48-20q14 2 6 12l-46 24z"),
            ("slide", "lr14 28 68 18 9;mr26 22 20 30 4"),
        ],
    ),
    (
        "click",
        &[
            ("tail-slide", "@plate;lr30 28 36 16 8;mo40 36 9"),
            ("tail-button", "@plate;mb44 38 9 8-4"),
            ("tail-lever", "@plate;mM43 34l20-24 7 5-19 25z;mo47 38 7"),
            ("head-slide", "@plate;(;@crank;);lr22 14 30 12 6;mo31 20 7"),
            ("rim", "@plate;mr38 0 20 13 4"),
            ("permanent", "@gear 40 42;@pawl 72 26"),
            (
                "adjustable",
                "@gear 34 42;@pawl 64 28;mr74 8 12 20 3;lM74 13h12m-12 5h12m-12 5h12",
            ),
            (
                "rotary",
                "@plate;mo48 38 14;dr46 20 5 20 2;fo48 12 2.500;fo68 20 2.500;fo28 20 2.500",
            ),
        ],
    ),
    (
        "foot_shape",
        &[
            ("flat", "mr4 36 88 10 1;mM36 36v-14h24v14z"),
            ("curved", "mM4 48q44-26 88 0-44-14-88 0z;mM36 38v-16h24v16q-12-3-24 0z"),
            ("tapered", "mM4 48l34-12h20l34 12z;mM38 36v-14h20v14z"),
            (
                "spoon",
                "mM4 42q0-16 20-14h48q20-2 20 14 0 16-20 14h-48q-20 2-20-14z;lr38 32 20 20",
            ),
            (
                "clamp",
                "mr6 20 84 10 2;mr16 30 8 30;mr72 30 8 30;mr12 56 72 8 3;mo48 14 0;do20 66 4;do76 66 4",
            ),
            ("stem", "mr6 56 84 9 2;mM42 4h12l-3 52h-6z"),
            (
                "sliding",
                "mr4 44 88 10 1;mM18 44v-24h24v24z;lM54 28h24;fM76 23v10l9-5zM58 23v10l-9-5z",
            ),
            (
                "wavy",
                "mM12 26q6-9 12 0t12 0 12 0 12 0 12 0 12 0v20q-6 9-12 0t-12 0-12 0-12 0-12 0-12 0z;lr40 30 16 12",
            ),
        ],
    ),
    (
        "foot_fixing",
        &[
            ("screws", "mr4 24 88 24 3;mo24 36 8;lM18 39l12-6;mo72 36 8;lM66 39l12-6"),
            ("rivets", "mr4 24 88 24 3;mo24 36 7;lo24 36 3;mo72 36 7;lo72 36 3"),
            ("cast-in", "mM30 6h36v32q2 8 10 10l16 4v8h-88v-8l16-4q8-2 10-10z"),
            (
                "solder",
                "mr4 44 88 12 1;mr36 10 24 34;fM36 44q-10 0-14 0 10-2 14-12zM60 44q10 0 14 0-10-2-14-12z",
            ),
            (
                "slides",
                "mr4 36 88 10 1;mM20 36v-8h10v-14h36v14h10v8z;lM30 56h34;fM62 51v10l10-5z",
            ),
        ],
    ),
    (
        "foot_make",
        &[
            ("stamped", "mM4 50l28-2 4-22h24l4 22 28 2-28 4-8-20h-16l-8 20z"),
            (
                "plate-on-pillars",
                "mr4 44 88 9 1;mr26 14 12 30 2;mr58 14 12 30 2;do32 49 3;do64 49 3",
            ),
            (
                "cast",
                "(;lM10 10h76v16h-76z;);mM24 26h48q0 18 20 22v6h-88v-6q20-4 20-22z",
            ),
            ("turned", "mb20 22 8 56 0;mM4 50l34-8v-12h20v12l34 8z"),
        ],
    ),
    (
        "foot_surface",
        &[
            ("smooth", "mr4 24 88 24 8"),
            ("ribbed", "mr4 24 88 24 8;lv12 26 72 20 6"),
        ],
    ),
    (
        "foot_reversible",
        &[(
            "yes",
            "@foot;lM26 36a24 18 0 0 1 44 0;fM64 34h12l-6 10zM20 34h12l-6 10z",
        )],
    ),
    (
        "mount",
        &[
            (
                "on-foot",
                "lM2 58h92M2 66h92;mM24 58l8-6h32l8 6z;mr42 40 12 12;mo48 24 18;lo48 24 6",
            ),
            ("side", "lM2 46h92M2 58h92;mo48 34 28;lo48 34 22;lo48 34 6"),
            (
                "in-grip",
                "dM4 40q40-14 62-6h28v16h-28q-22 10-62-2z;mo48 42 20;lo48 42 6",
            ),
        ],
    ),
    (
        "harness",
        &[
            ("lugs", "@plate;mr22 0 14 26 6;lo29 7 3;mr60 0 14 26 6;lo67 7 3"),
            (
                "clamp",
                "(;lo48 22 20;);mr12 44 72 8 2;mr22 52 7 18;mr67 52 7 18;mr16 64 64 6 2",
            ),
            (
                "both",
                "(;lo48 26 18;);mr24 0 12 22 5;mr60 0 12 22 5;mr14 46 68 8 2;mr22 54 7 16;mr67 54 7 16;mr16 64 64 6 2",
            ),
        ],
    ),
    (
        "crank_side",
        &[
            ("right", "@side;mr80 32 9 8;mr86 32 5 28;dr78 56 18 11 4"),
            ("left", "@side;mr7 32 9 8;mr5 32 5 28;dr1 56 17 11 4"),
            (
                "either",
                "@side;mr80 32 9 8;mr86 32 5 28;dr78 56 18 11 4;sr7 32 9 8;sr5 32 5 28;sr1 56 17 11 4",
            ),
        ],
    ),
    (
        "crank_place",
        &[
            ("centred", "@plate;mM44 34h8v30h-8z;mo48 36 7;do48 64 7"),
            ("low-6", "@plate;mM44 54h34v8h-34z;mo46 58 7;do78 58 7"),
            ("high", "@plate;mM44 14h34v8h-34z;mo46 18 7;do78 18 7"),
        ],
    ),
    (
        "spin_handle",
        &[
            (
                "screw-off",
                "(;lr4 10 18 52 4;);mr22 30 32 12;lM24 30l4 12m2-12l4 12m2-12l4 12m2-12l4 12;mr54 8 9 52 3;dr63 46 20 14 4",
            ),
            (
                "folds-button",
                "(;lr4 10 18 52 4;);mr22 31 30 10;mo56 36 11;do56 36 5;mM52 46l16 22 8-4-14-22z",
            ),
            (
                "folds-nut",
                "(;lr4 10 18 52 4;);mr22 31 30 10;mo56 36 12;lM56 27l8 5v9l-8 5-8-5v-9z;mM52 47l16 22 8-4-14-22z",
            ),
            (
                "fixed",
                "(;lr4 10 18 52 4;);mr22 31 34 10;mr52 31 9 34 3;dr61 52 20 14 4",
            ),
        ],
    ),
    (
        "check_knob_form",
        &[
            (
                "three-blade-round",
                "mo48 36 24;dM45 36v-22h6v22zM46 33l20 12-3 5-20-12zM50 33l-20 12 3 5 20-12z;mo48 36 6",
            ),
            ("flat-blade", "mo48 36 20;dr14 31 68 10 3"),
            ("plain-button", "mo48 36 22;lo48 36 16"),
        ],
    ),
    (
        "drag_nut_form",
        &[
            ("plain-round", "mo48 36 26;lo48 36 8;ly48 36 21 26 28"),
            ("three-finger", "m*48 36 12 31 3;lo48 36 7"),
            ("four-spoke", "m*48 36 12 31 4;lo48 36 7"),
            ("captive-screw", "mo48 36 26;ly48 36 21 26 28;mo48 36 9;lM41 39l14-6"),
        ],
    ),
    (
        "thumb_rest",
        &[
            (
                "riveted",
                "@side;mM22 14q26-18 52 0l-4 8h-44z;do32 15 2.500;do64 15 2.500",
            ),
            ("other", "@side;mr24 4 48 14 6"),
        ],
    ),
    (
        "closed_control",
        &[
            ("thumb-button", "@closed;dM20 26q-6-14-18-10-4 6 4 14 8 4 14 4z"),
            ("trigger", "@closed;mM30 54q-10 2-20 16h8q6-8 16-10z"),
            ("lever", "@closed;mM22 20l-16-14 5-5 18 14z"),
            ("finger-bar", "@closed;mr50 58 30 8 3"),
            (
                "handle-back",
                "@closed;mM32 34h7v24h-7z;mo36 36 6;do36 60 6;lM10 60a30 30 0 0 1 2-40;fM7 20l11-2-4 10z",
            ),
        ],
    ),
    (
        "ar_lever_place",
        &[
            ("rear", "@spin;mM82 30l12-10 2 8-10 10z;fo82 35 3"),
            ("under", "@spin;mr44 52 22 7 2;mr50 58 6 10 2"),
            ("side", "@spin;mo62 36 6;mM58 34h8v20h-8z"),
        ],
    ),
    (
        "ar_control_form",
        &[
            ("lever", "mo30 48 11;mM24 40l42-30 8 8-38 36z"),
            ("sliding-button", "lr14 28 68 18 9;mr24 24 24 26 4;lv26 24 20 26 5"),
            ("round-knob", "mo48 36 24;ly48 36 18 24 24"),
            ("tilting-lever", "mo48 50 8;mM42 50v-24l-28-8 3-9 36 10v31z"),
        ],
    ),
];

/// How it is built: plates, frame, spool, bearings, gears, pickups.
pub(super) const PARTS: &[Answers] = &[
    (
        "plate_rings",
        &[
            (
                "both",
                "do24 36 21;mM24 12a24 24 0 1 1-.1 0zM24 17a19 19 0 1 0 .1 0z;do72 36 21;mM72 12a24 24 0 1 1-.1 0zM72 17a19 19 0 1 0 .1 0z",
            ),
            (
                "head-only",
                "do24 36 22;do72 36 21;mM72 12a24 24 0 1 1-.1 0zM72 17a19 19 0 1 0 .1 0z;mM70 36h4v20h-4z;mo72 57 4",
            ),
            (
                "tail-only",
                "do24 36 21;mM24 12a24 24 0 1 1-.1 0zM24 17a19 19 0 1 0 .1 0z;do72 36 22;mM70 36h4v20h-4z;mo72 57 4",
            ),
            (
                "double",
                "do48 36 31;mM48 3a33 33 0 1 1-.1 0zM48 8a28 28 0 1 0 .1 0z;mM48 15a21 21 0 1 1-.1 0zM48 20a16 16 0 1 0 .1 0z",
            ),
            ("none", "do24 36 22;do72 36 22"),
        ],
    ),
    (
        "plate_shape",
        &[
            ("round", "mo48 36 30;lo48 36 5"),
            ("round-with-bump", "mo58 48 20;mo44 32 28;lo58 44 5"),
            ("oval", "me48 36 26 34;lo48 36 5"),
            ("flat-bottom", "mM30 62a30 30 0 1 1 36 0z;lo48 36 5"),
            ("low-profile", "mM6 56q2-26 30-36t48 4q8 12 6 32z;lo60 42 5"),
        ],
    ),
    (
        "frame",
        &[
            (
                "pillars",
                "dr10 6 12 60 2;dr74 6 12 60 2;mr22 12 52 7;mr22 33 52 7;mr22 53 52 7;fo16 15 2;fo80 15 2",
            ),
            (
                "raised-pillars",
                "dr10 16 12 40 2;dr74 16 12 40 2;mr6 4 84 7 2;mr10 4 12 14;mr74 4 12 14;mr6 61 84 7 2;mr10 54 12 14;mr74 54 12 14",
            ),
            ("one-piece", "mM10 6h76v12h-60v36h60v12h-76z"),
            (
                "stamped",
                "mM8 8h12l4 6h48l4-6h12v56h-12l-4-6h-48l-4 6h-12zM26 20v32h44v-32z",
            ),
            (
                "perforated",
                "mr8 8 80 56 4;dn48 36 20 5 8;do48 36 7;do18 16 3;do78 16 3;do18 56 3;do78 56 3",
            ),
            (
                "tube",
                "mM12 6a30 30 0 0 0 0 60h64a16 30 0 0 0 0-60z;me76 36 14 30;de76 36 10 24;dr26 10 36 16 6",
            ),
        ],
    ),
    (
        "screw_head",
        &[
            ("slotted", "mo48 36 26;lM25 43l40-20M31 50l40-20"),
            ("cross", "mo48 36 26;dM44 18h8v14h14v8h-14v14h-8v-14h-14v-8h14z"),
            ("hex", "mo48 36 26;dM48 22l12 7v14l-12 7-12-7v-14z"),
            ("knurled", "mo48 36 24;ly48 36 24 30 30;lo48 36 10"),
            (
                "none",
                "@plate;lM30 14a29 29 0 0 1 36 0;fM60 6l11 9-13 3z;lr42 30 12 12 3",
            ),
            (
                "mixed",
                "mo26 36 20;lM10 42l28-16M14 48l28-16;mo72 36 20;dM69 23h6v10h10v6h-10v10h-6v-10h-10v-6h10z",
            ),
        ],
    ),
    (
        "level_wind",
        &[
            ("worm", "@cage;@worm;@guide 48 0"),
            ("worm-hooded", "@cage;mr12 46 72 14 7;@guide 48 0"),
            ("disengaging", "@cage;@worm;@guide 72 0;lM60 64h-32;sM28 64h-6"),
            (
                "swinging",
                "@cage;mM44 68l-2-46 6-4 6 4-2 46z;lo48 26 3;lM26 62q22 10 44 0;fM66 57l10 0-6 9z",
            ),
            (
                "removable",
                "@cage;sr12 48 72 10;@guide 48 4;lM70 46v16;fM65 60h10l-5 9z",
            ),
            ("removed", "@cage;lo8 54 3;lo88 54 3;lo8 62 2;lo88 62 2;sr12 48 72 10"),
            ("twin-worm", "@cage;@worm 0 -10;@worm 0 4;@guide 48 0"),
        ],
    ),
    (
        "cast_control",
        &[
            ("end-cap", "@side;mr80 26 13 20 3;lM80 31h13m-13 5h13m-13 5h13"),
            (
                "both-caps",
                "@side;mr80 26 13 20 3;lM80 31h13m-13 5h13m-13 5h13;mr3 26 13 20 3;lM3 31h13m-13 5h13m-13 5h13",
            ),
            ("bar", "@cage;lM10 16q38-20 76 0M10 20q38-20 76 0"),
            (
                "centrifugal",
                "@plate;lM18 36h60;mo48 36 6;dr20 28 12 16 2;dr64 28 12 16 2",
            ),
            ("magnetic", "@plate;dn48 36 20 6 8;lo48 36 5"),
            ("friction-ring", "@plate;do48 36 25;mo48 36 16;lo48 36 4"),
            (
                "air-brake",
                "@plate;mM48 36l9-26h-18zM48 36l18 21 8-15zM48 36l-18 21-8-15z;lo48 36 4",
            ),
        ],
    ),
    (
        "bearing_caps",
        &[
            ("plain", "@plate;lo48 36 5"),
            ("screw-cap", "@plate;mo48 36 17;ly48 36 12 17 22"),
            ("oil-cap", "@plate;mo48 36 16;mr42 28 34 13 6;do48 38 3"),
            ("jewelled", "@plate;mo48 36 17;do48 36 9;lM44 40l8-8"),
            ("adjustable", "@plate;mo48 36 17;lM33 39l28-10M35 44l28-10"),
            ("ball", "@plate;mo48 36 19;mn48 36 12.500 4 8;lo48 36 6"),
            ("jewelled-sunk", "@plate;mo48 36 20;lo48 36 13;do48 36 6"),
        ],
    ),
    (
        "gear_kind",
        &[
            ("spur", "@gear 34 36;@pinion 74 36"),
            (
                "helical",
                "mr8 10 44 52 2;lM8 20l44-10m-44 22l44-10m-44 22l44-10m-44 22l44-10m-44 22l44-10;mr56 22 32 28 2;lM56 24l32 8m-32 0l32 8m-32 0l32 8",
            ),
            (
                "bevel",
                "mM10 8l30 14v24l-30 14z;lM10 21l30 6M10 34h30M10 47l30-6;mM44 48h24l14 18h-52z;lM50 48l-8 18m14-18v18m7-18l8 18",
            ),
            (
                "worm",
                "@gear 48 46;mr14 4 68 16 4;lM20 4l7 16m2-16l7 16m2-16l7 16m2-16l7 16m2-16l7 16m2-16l7 16",
            ),
            (
                "hypoid",
                "mo38 36 30;lo38 36 8;lM38 6q10 12 4 20M64 20q-2 14-14 14M66 50q-14 2-18-8M38 66q-10-10-4-20M12 52q4-12 16-12M12 20q14-2 16 10;mr70 6 18 36 3;lM70 12l18 8m-18 0l18 8m-18 0l18 8",
            ),
            (
                "planetary",
                "lo48 36 33;ly48 36 29 33 40;mo48 36 10;mn48 36 19.500 8.500 3",
            ),
            ("internal", "lo48 36 33;ly48 36 28 33 40;mo62 36 12;ly62 36 12 15 14"),
            ("none", "@flydrum;mo48 36 8;db62 20 7 14-3"),
        ],
    ),
    (
        "anti_reverse",
        &[
            (
                "direct",
                "mo40 36 8;mM36 34h8v28h-8z;do40 62 7;lM70 54a28 28 0 0 0-2-38M74 16a28 28 0 0 1 2 38;fM62 18l12-6v11zM70 52l12 6v-11z",
            ),
            ("stopped", "@gear 36 42;@pawl 68 26"),
            ("silent", "@gear 36 42;@pawl 70 20;lM74 30q10 0 10 12"),
            ("instant", "lo48 36 32;lo48 36 20;mn48 36 26 5 9;mo48 36 12"),
            ("switchable", "@gear 34 44;@pawl 66 28;mM68 10l20-6 3 7-20 8z;mo70 14 5"),
        ],
    ),
    (
        "spool_face",
        &[
            ("plain", "mo48 36 32;lo48 36 5"),
            ("perforated", "mo48 36 32;dn48 36 23 4.500 12;dn48 36 12 3 6;lo48 36 4"),
            (
                "spoked",
                "mM48 4a32 32 0 1 1-.1 0zM48 11a25 25 0 1 0 .1 0z;my48 36 6 25 6 0;my48 36 6 25 6 8;mo48 36 7",
            ),
            (
                "slotted",
                "mo48 36 32;dM45 9h6v15h-6zM45 48h6v15h-6zM21 33h15v6h-15zM60 33h15v6h-15zM29 21l4-4 10 10-4 4zM53 45l4-4 10 10-4 4zM67 21l-4-4-10 10 4 4zM43 45l-4-4-10 10 4 4z;lo48 36 4",
            ),
            ("lettered", "mo48 36 32;lo48 36 24;ft 48 32 11 ABC;ft 48 48 11 1234"),
        ],
    ),
    (
        "take_apart",
        &[
            (
                "no",
                "@plate;mn48 36 25 6 5;lM45 12l6-2m17 18l7-2m-9 30l6-2m-40 2l6-2m-11-26l7-2",
            ),
            ("tail-screw", "@plate;mo48 36 15;ly48 36 10 15 18"),
            (
                "twist",
                "mo48 40 26;lo48 40 5;lM20 22a34 34 0 0 1 52-4;fM67 20l11 6 0-13z",
            ),
            (
                "pull-handle",
                "(;lr4 8 18 56 2;);mr32 12 12 48 2;mr44 31 18 10;mr62 31 7 30 2;lM74 20h12;fM84 15v10l10-5z",
            ),
            ("latch", "@plate;mr38 0 20 18 5;lv40 0 16 18 5"),
            (
                "ring",
                "(;lo48 36 22;);mM48 2a34 34 0 1 1-.1 0zM48 10a26 26 0 1 0 .1 0z;ly48 36 29 34 36",
            ),
            ("shaft", "(;lr24 8 40 56 2;);mr6 31 64 10 4;lM72 36h12;fM82 31v10l10-5z"),
        ],
    ),
    (
        "bail",
        &[
            (
                "full-bail",
                "@spinhead;lM60 12q-20-12-42-2t-10 28 10 28 44-6M60 15q-20-10-40-1t-9 24 9 24 42-4;do14 16 4",
            ),
            (
                "half-bail",
                "@spinhead;lM60 12q-22-12-44 0-10 10-4 26M60 15q-20-10-42 0-7 9-2 23",
            ),
            ("finger", "@spinhead;mM58 9l-42-7q-8 4-6 14h5q0-8 5-7l38 7z"),
            ("manual", "@spinhead;mM58 6l-40 1v7l40 3z;mo16 11 8;lo16 11 3"),
        ],
    ),
    (
        "spin_drag_place",
        &[
            ("front", "@spin;mr3 28 13 18 3;lM3 33h13m-13 4h13m-13 4h13"),
            ("rear", "@spin;mr82 27 13 18 3;lM82 32h13m-13 4h13m-13 4h13"),
            (
                "both",
                "@spin;mr3 28 13 18 3;lM3 33h13m-13 4h13m-13 4h13;mM70 50l20 12-3 6-20-12z",
            ),
        ],
    ),
    (
        "spin_spool",
        &[
            (
                "inside",
                "mr46 6 34 60 5;mr12 18 34 36;lv14 18 30 36 6;mr6 14 7 44 2;sr46 16 18 40",
            ),
            (
                "skirted",
                "(;lr60 14 24 44 4;);mr40 6 34 60 8;mr12 18 28 36;lv14 18 24 36 6;mr6 12 7 48 2",
            ),
        ],
    ),
    (
        "cone",
        &[
            (
                "cone-metal",
                "(;lr4 16 28 40 6;);mM32 10q36 6 54 22v8q-18 16-54 22z;do87 36 4",
            ),
            (
                "cone-plastic",
                "(;lr4 16 28 40 6;);dM32 10q36 6 54 22v8q-18 16-54 22z;mo87 36 4",
            ),
            ("flat-cup", "(;lr4 16 28 40 6;);mr32 10 38 52 8;do70 36 5"),
            ("open-slot", "(;lr4 16 28 40 6;);mr32 10 38 52 8;dr48 16 10 40 5"),
        ],
    ),
    (
        "closed_mount",
        &[
            (
                "on-top",
                "lM2 60h92M2 68h92;mr24 18 32 30 8;mM58 16q22 4 24 15v4q-4 11-24 14z;mr34 48 14 12",
            ),
            (
                "under",
                "lM2 4h92M2 12h92;mr24 24 32 30 8;mM58 22q22 4 24 15v4q-4 11-24 14z;mr34 12 14 12",
            ),
            ("side", "lM2 50h92M2 58h92;mo44 34 26;lo44 34 18;do44 34 4"),
            (
                "either",
                "lM2 32h92M2 40h92;mr24 4 32 20 6;mM58 2q20 3 22 10t-22 12z;mr36 24 10 8;sr24 48 32 20 6;sM58 46q20 3 22 10t-22 12z",
            ),
        ],
    ),
    (
        "line_guard",
        &[
            ("wire", "@flydrum;lM20 18q-18 18 0 36M23 20q-14 16 0 32"),
            (
                "metal-ring",
                "(;lo60 36 30;);mM18 18a18 18 0 1 1-.1 0zM18 24a12 12 0 1 0 .1 0z",
            ),
            (
                "agate",
                "(;lo60 36 30;);mM18 18a18 18 0 1 1-.1 0zM18 24a12 12 0 1 0 .1 0z;dM18 24a12 12 0 1 1-.1 0zM18 30a6 6 0 1 0 .1 0z",
            ),
            (
                "roller",
                "(;lo62 36 30;);mr6 10 9 52 4;mr22 10 9 52 4;lM10 14v44m16-44v44",
            ),
            ("rectangular", "(;lo62 36 30;);mM6 12h28v48h-28zM13 19v34h14v-34z"),
            (
                "half-ring",
                "(;lo62 36 30;);mM34 6a30 30 0 0 0 0 60v-7a23 23 0 0 1 0-46z",
            ),
            ("l-bar", "(;lo62 36 30;);mM8 8h9v46h30v9h-39z;do40 58 2.500"),
            (
                "u-bar",
                "(;lo62 36 30;);mM40 8h-16a28 28 0 0 0 0 56h16v-8h-16a20 20 0 0 1 0-40h16z;do36 12 3;do36 60 3",
            ),
            ("marquis", "(;lo62 36 30;);mM38 4q-34 8-34 32t34 32q-14-14-14-32t14-32z"),
            (
                "slot",
                "(;lo62 36 30;);mr6 6 6 60 3;mr20 6 6 60 3;mr6 4 20 6 2;mr6 62 20 6 2",
            ),
        ],
    ),
    (
        "auto_body",
        &[
            (
                "horizontal",
                "@tree;mM12 36v18a36 12 0 0 0 72 0v-18z;me48 36 36 12;de48 36 24 7",
            ),
            ("vertical", "@tree;mb44 46 23 8 2;do52 48 15;lo52 48 5"),
        ],
    ),
    (
        "auto_cover",
        &[
            ("low-dome", "(;lr10 40 76 22 3;);mM16 40q32-26 64 0z"),
            ("top-hat", "(;lr10 52 76 16 3;);mM16 52v-6h12v-40h40v40h12v6z"),
        ],
    ),
    (
        "auto_winding",
        &[
            (
                "roller",
                "mM12 24v24a36 14 0 0 0 72 0v-24z;me48 24 36 14;lM16 40v10m8-6v10m8-7v10m8-8v10m8-10v10m8-10v10m8-12v10m8-13v10",
            ),
            ("key", "(;lo40 40 28;);mo40 40 7;mM37 40h7v-28h-7z;mr24 4 32 10 5"),
            ("line", "(;lo36 36 30;);lM36 6q30-4 50 2;fM82 1l12 8-13 5z"),
        ],
    ),
    (
        "finish_marks",
        &[
            ("stamped", "mr8 14 80 44 3;ft 48 46 28 ABC;lM22 50h52"),
            (
                "engraved",
                "mr8 14 80 44 3;lM18 46q4-30 12-24t-4 14q12-4 10 6t-14 4M48 44q-4-22 10-22M54 30h-8M64 48q20 2 16-14t-14-4",
            ),
            (
                "etched",
                "mr8 14 80 44 3;sM24 48l8-24 8 24m-13-8h10M50 24v24h8q8-8 0-12 6-6-2-12z",
            ),
            (
                "cast",
                "mr8 14 80 44 8;lM20 50l10-30h6l10 30h-7l-3-8h-7l-2 8zM54 20h16q10 8 2 15 10 8 0 15h-18z",
            ),
            ("printed", "ft 48 48 34 ABC"),
            ("plate", "mr12 18 72 36 3;do18 36 2;do78 36 2;ft 48 43 20 ABC"),
            ("sticker", "mM14 14h68v32l-14 12h-54z;lM82 46h-14v12;ft 44 42 20 ABC"),
        ],
    ),
    (
        "lettering_layout",
        &[
            ("straight", "@back;ft 48 32 12 ABCDEF;ft 48 48 12 GHIJKL"),
            ("curved-rim", "@back;fn48 36 27 2 9 -60"),
            ("small-circle", "@back;fn48 36 11 2 10;lo48 36 4"),
            ("large-circle", "@back;fn48 36 20 2 20;lo48 36 4"),
            ("patent-ring", "@back;lo48 36 7;ly48 36 11 16 16"),
            ("oval-logo", "@back;le48 36 24 13;ft 48 40 12 ABC"),
            (
                "script",
                "@back;lM22 40q10-20 12-8t-8 10q14 2 16-8t6 8q8 2 8-8t8 8q6 0 10-6",
            ),
        ],
    ),
    (
        "pillar_spool_gap",
        &[
            ("tight", "mr8 8 80 9 4;mr12 19 72 8;lv20 27 56 38 6"),
            ("open", "mr8 4 80 9 4;mr12 32 72 8;lv20 40 56 28 6;lM48 15v15"),
        ],
    ),
    (
        "plate_ornament",
        &[
            ("rope-circle", "@plate;lo48 36 24;lo48 36 19;ly48 36 19 24 36"),
            ("scroll", "@plate;lM48 36q8-6 10 2t-14 12-16-16 22-18 24 24-30 20"),
            (
                "engraved-picture",
                "@plate;lM24 38q14-16 34-4l12-8-2 12 4 10-14-8q-18 14-34-2zM32 36h1",
            ),
            ("stepped", "@plate;mo48 36 28;mo48 36 21;mo48 36 13;lo48 36 4"),
        ],
    ),
    (
        "tail_plate_form",
        &[
            ("one-piece", "mo48 36 31;lo48 36 5"),
            ("ring-and-disc", "mo48 36 31;do48 36 22;mo48 36 5"),
        ],
    ),
    (
        "tail_smaller",
        &[
            ("yes", "(;lr26 20 44 32;);mr12 16 14 40 2;mr70 4 14 64 2"),
            ("no", "(;lr26 16 44 40;);mr12 6 14 60 2;mr70 6 14 60 2"),
        ],
    ),
    ("fixed_line_guide", &[("yes", "@cage;mr38 46 20 20 3;lr43 50 10 12 3")]),
    ("spacer_bar_top", &[("yes", "@plate;mo48 8 7;ln48 36 27 3 4 45")]),
    (
        "free_spool",
        &[
            (
                "no",
                "mM30 34h6v26h-6z;mo33 34 6;do33 60 6;lo66 36 22;lM44 14q10-10 24-8;fM66 0l11 7-12 5z",
            ),
            (
                "yes",
                "sM30 34h6v26h-6z;so33 34 6;so33 60 6;mo66 36 22;lM44 14q10-10 24-8;fM66 0l11 7-12 5z",
            ),
            (
                "handle-stands",
                "mM30 34h6v26h-6z;mo33 34 6;do33 60 6;mo66 36 22;lM44 14q10-10 24-8;fM66 0l11 7-12 5z",
            ),
        ],
    ),
    (
        "spool_step",
        &[
            ("plain", "mr10 8 8 56 2;mr78 8 8 56 2;mr18 26 60 20"),
            (
                "stepped",
                "mr10 8 8 56 2;mr78 8 8 56 2;mr18 26 60 20;mr18 16 10 40;mr68 16 10 40",
            ),
        ],
    ),
    (
        "arbor_form",
        &[
            ("plain", "(;lo48 36 32;);mo48 36 18"),
            ("pillared", "(;lo48 36 32;);mn48 36 18 4 10"),
            ("perforated", "(;lo48 36 32;);mo48 36 20;dn48 36 12 3.500 7"),
            (
                "weightable",
                "(;lo48 36 32;);mo48 36 20;lo48 36 13;mo48 36 6;lM44 38l8-4",
            ),
            (
                "cork",
                "(;lo48 36 32;);mo48 36 20;fn48 36 14 1.200 11;fn48 36 8 1.200 7;fn48 36 17 .8 9 20",
            ),
        ],
    ),
    (
        "spool_release",
        &[
            ("locking-nut", "@flydrum;mo48 36 15;ly48 36 10 15 18"),
            ("screw", "@flydrum;mo48 36 12;lM37 39l20-9M39 43l20-9"),
            ("latch-3-screw", "@flydrum;mo48 36 18;mn48 36 11 4 3;lo48 36 3"),
            (
                "latch-2-screw",
                "@flydrum;mr26 25 44 22 10;mo35 36 4.500;mo61 36 4.500;lo48 36 4",
            ),
            ("latch-cover", "@flydrum;mo48 36 18;lo48 36 13"),
            ("push-button", "@flydrum;mo48 36 14;do48 36 7"),
            ("drag-knob", "@flydrum;m*48 36 12 19 5;lo48 36 5"),
            (
                "keeps-drag",
                "(;lo32 36 28;);mo64 36 24;lo64 36 8;lM84 8l8-6;fM94 0l-3 10-7-7z",
            ),
        ],
    ),
    (
        "pillar_form",
        &[
            ("straight", "(;lr4 8 10 56;lr82 8 10 56;);mr14 28 68 16"),
            (
                "sculpted",
                "(;lr4 8 10 56;lr82 8 10 56;);mM14 22q34 20 68 0v28q-34-20-68 0z",
            ),
            (
                "swelled",
                "(;lr4 8 10 56;lr82 8 10 56;);mM14 30q34-20 68 0v12q-34 20-68 0z",
            ),
            (
                "knurled",
                "(;lr4 8 10 56;lr82 8 10 56;);mr14 30 68 12;mr32 26 32 20 2;lM34 26l8 20m0-20l8 20m0-20l8 20M42 26l-8 20m16-20l-8 20m16-20l-8 20",
            ),
            (
                "flat",
                "(;lr4 8 10 56;lr82 8 10 56;);mM14 24l68 6v18l-68-6z;lM14 29l68 6",
            ),
        ],
    ),
    (
        "pillar_fixing",
        &[
            ("riveted", "@plate;mo48 36 16;lo48 36 7"),
            ("screwed", "@plate;mo48 36 16;lM33 41l26-14M37 46l26-14"),
            ("cast", "(;lr8 10 14 52;);mM22 20q4 8 14 8h48v16h-48q-10 0-14 8z"),
        ],
    ),
    (
        "winding_plate",
        &[("yes", "(;lo40 36 32;);mo52 36 26;lo52 36 4;db66 24 6 12-2")],
    ),
    (
        "palming_rim",
        &[(
            "yes",
            "mM48 2a34 34 0 1 1-.1 0zM48 8a28 28 0 1 0 .1 0z;(;lo48 36 22;lo48 36 5;);@fingers",
        )],
    ),
    (
        "rim_cutout",
        &[(
            "yes",
            "mM48 2a34 34 0 1 1-.1 0zM48 9a27 27 0 1 0 .1 0z;dM64 4l18 16-10 6-12-12z;(;lo48 36 24;)",
        )],
    ),
    (
        "back_openings",
        &[
            ("none", "mo48 36 32;lo48 36 4"),
            (
                "cross",
                "mo48 36 32;dM44 10v22h-22a26 26 0 0 1 22-22zM52 10v22h22a26 26 0 0 0-22-22zM44 62v-22h-22a26 26 0 0 0 22 22zM52 62v-22h22a26 26 0 0 1-22 22z",
            ),
            (
                "round-holes",
                "mo48 36 32;dn48 36 24 4.500 12;dn48 36 13 3.500 7;lo48 36 4",
            ),
            (
                "slots",
                "mo48 36 32;dM46 8h4v16h-4zM46 48h4v16h-4zM20 34h16v4h-16zM60 34h16v4h-16zM27 18l3-3 11 11-3 3zM55 46l3-3 11 11-3 3zM69 18l-3-3-11 11 3 3zM41 46l-3-3-11 11 3 3z",
            ),
        ],
    ),
    (
        "back_rivets_seen",
        &[("yes", "@back;mn48 36 12 4 4;lo48 36 4"), ("no", "@back;lo48 36 4")],
    ),
    (
        "frame_windows",
        &[
            ("plain", "mr8 8 80 56 2;dM18 18h24v36h-24zM54 18h24v36h-24z"),
            ("contoured", "mr8 8 80 56 2;dr18 16 24 40 12;dr54 16 24 40 12"),
        ],
    ),
    (
        "face_boss",
        &[
            ("flush", "(;lr10 26 76 8 2;);mr36 26 24 8"),
            ("raised", "(;lr10 40 76 8 2;);mM32 40l6-18h20l6 18z"),
        ],
    ),
    (
        "tension_scale",
        &[
            ("arrow-dial-back", "@back;mo48 36 12;ly48 36 16 21 16;fM48 14l5 10h-10z"),
            (
                "half-moon-rim",
                "@back;mM22 16a32 32 0 0 1 52 0l-8 6a22 22 0 0 0-36 0z;ly48 36 24 29 5 -36",
            ),
            (
                "two-moons",
                "@back;mM20 20a32 32 0 0 0 0 32l8-6a20 20 0 0 1 0-20zM76 20a32 32 0 0 1 0 32l-8-6a20 20 0 0 0 0-20z",
            ),
        ],
    ),
    ("star_back", &[("yes", "@back;m*48 36 12 28 5;do48 36 4")]),
    (
        "back_liner",
        &[("brass", "@back;mM48 8a28 28 0 1 1-.1 0zM48 14a22 22 0 1 0 .1 0z")],
    ),
    ("spare_pawl", &[("yes", "@plate;@pawl 36 36;@pawl 60 36")]),
    (
        "inner_switch_form",
        &[
            ("block", "@plate;mr22 26 22 22 1;mr52 26 22 22 1"),
            ("round", "@plate;mo33 36 12;mo63 36 12"),
        ],
    ),
    (
        "fly_check",
        &[
            ("single-pawl", "@gear 36 42;@pawl 68 24"),
            ("double-pawl", "@gear 48 40;@pawl 18 24;@pawl 78 24"),
            (
                "reversible",
                "@gear 36 46;@pawl 60 18;lM74 12a14 14 0 0 1 8 24;fM78 34h10l-6 9z",
            ),
            ("adjustable", "@gear 34 42;@pawl 64 28;mo82 16 9;ly82 16 6 9 12"),
            ("disc", "@plate;do48 36 26;mo48 36 16;lo48 36 5"),
            ("caliper", "lo48 38 20;mM20 52a32 32 0 1 1 56 0l-7-4a24 24 0 1 0-42 0z"),
            ("silent", "@flydrum;so48 36 16"),
        ],
    ),
    (
        "spin_body",
        &[
            ("round", "(;lr4 16 26 40 3;);mo56 36 26;lo56 36 5"),
            ("egg", "(;lr4 14 20 44 3;);mM24 14q34-6 62 22-28 28-62 22z;lo44 36 5"),
            ("oval", "(;lr4 18 16 36 3;);me54 36 36 20;lo50 36 5"),
            ("angular", "(;lr4 14 20 44 3;);mM24 12h36l28 20-14 28h-50z;lo48 36 5"),
            ("open", "(;lr4 14 20 44 3;);lM24 12h50v48h-50;@gear 54 36 .8"),
        ],
    ),
    (
        "side_dome",
        &[
            ("none", "(;lr8 20 16 36;);mr26 14 30 46 4"),
            ("domed", "(;lr8 20 16 36;);mr26 14 30 46 4;mM56 18q28 6 28 19t-28 19z"),
            (
                "flattened",
                "(;lr8 20 16 36;);mr26 14 30 46 4;mM56 18h6q8 2 8 8v22q0 6-8 8h-6z",
            ),
        ],
    ),
    (
        "stem_form",
        &[
            ("straight", "mr12 4 72 7 2;mr42 11 12 44;(;lr16 55 62 14 6;)"),
            ("slanting", "mr4 4 72 7 2;mM24 11h12l22 44h-14z;(;lr16 55 62 14 6;)"),
            (
                "bent",
                "mr4 4 72 7 2;mM34 11h12l12 20-6 24h-13l6-24z;(;lr16 55 62 14 6;)",
            ),
            ("thin", "mr12 4 72 7 2;mr46 11 5 44;(;lr16 55 62 14 6;)"),
            ("thick", "mr12 4 72 7 2;mr36 11 24 44;(;lr16 55 62 14 6;)"),
        ],
    ),
    (
        "cover_fixing",
        &[
            (
                "screws",
                "@body;mo26 24 5;mo26 48 5;mo66 36 5;lM23 26l6-4m-6 28l6-4m34-8l6-4",
            ),
            ("coin", "@body;mo46 36 13;lM34 40l22-12M37 45l22-12"),
            ("other", "@body;mr34 28 28 16 5"),
        ],
    ),
    (
        "spin_spool_form",
        &[
            ("plain", "mr16 8 10 56 3;mr26 20 44 32;mr70 8 10 56 3"),
            (
                "pillared-wide",
                "mr16 8 10 56 3;mr26 18 44 6;mr26 33 44 6;mr26 48 44 6;mr70 8 10 56 3",
            ),
            (
                "pillared-close",
                "mr16 8 10 56 3;mr26 16 44 6;mr26 24 44 6;mr26 32 44 6;mr26 40 44 6;mr26 48 44 6;mr70 8 10 56 3",
            ),
            (
                "stepped",
                "mr16 8 10 56 3;mM26 26h22v-8h22v36h-22v-8h-22z;mr70 8 10 56 3",
            ),
        ],
    ),
    (
        "spool_seal",
        &[(
            "wool-ring",
            "(;lr16 8 10 56 3;lr26 20 30 32;);mr56 6 22 60 5;dr66 6 8 60",
        )],
    ),
    (
        "oscillation",
        &[
            (
                "simple",
                "@gear 34 44;mo34 28 4;mM32 26l48-12v7l-46 12z;lM62 40h24;fM84 35v10l9-5zM66 35v10l-9-5z",
            ),
            (
                "planamatic",
                "@pinion 20 44;@pinion 44 30;@pinion 68 44;lM56 62h30;fM84 57v10l9-5zM60 57v10l-9-5z",
            ),
            (
                "fixed",
                "(;lr16 14 8 44 2;lr24 22 36 28;);mr60 12 8 48 2;lM78 18v36m6-36v36",
            ),
        ],
    ),
    (
        "line_tip",
        &[
            ("fixed-pin", "mM8 30h52v12h-52z;mr60 32 28 8 2;lM70 4v64"),
            ("fixed-roller", "mM8 30h40v12h-40z;mr48 20 30 32 3;lM62 2v68"),
            (
                "steel-roller",
                "mM8 30h40v12h-40z;mM48 20h30q-6 16 0 32h-30q6-16 0-32z;lM84 18q8 16-2 34;fM78 50l9 0-7 8z",
            ),
            ("carbide", "mM8 30h40v12h-40z;mr48 20 30 32 3;ft 63 42 16 W;lM84 4v64"),
            ("agate", "mM8 30h36v12h-36z;do62 36 18;lo62 36 8;lM54 28q10 4 16 14"),
            ("ceramic", "mM8 30h36v12h-36z;mo62 36 18;do62 36 8"),
        ],
    ),
    (
        "bail_bumper",
        &[("yes", "mM8 20q40-18 70 10l-6 8q-28-24-60-8z;dr60 40 24 22 5")],
    ),
    (
        "bail_opening",
        &[
            (
                "normal",
                "mo40 44 8;lM40 44l-32-24;(;lM40 44l40 14;);lM16 12a40 40 0 0 1 62 30;fM72 40h12l-5 10z",
            ),
            (
                "wide",
                "mo40 40 8;lM40 40l-32-20;(;lM40 40l-20 28;);lM14 12a36 36 0 1 1 22 60;fM40 67l-10 3 9 6z",
            ),
        ],
    ),
    (
        "bail_release",
        &[
            ("switch", "@body;mM40 36l20-18 6 6-18 20z;mo44 40 7"),
            (
                "plunger",
                "@body;mr20 31 40 10 4;mr56 26 8 20 3;lM66 36h16;fM80 31v10l9-5z",
            ),
        ],
    ),
    (
        "bail_trip",
        &[
            ("outside", "(;lo48 36 26;);mr68 26 20 20 4"),
            ("inside", "(;lo48 36 32;);mr38 26 20 20 4"),
        ],
    ),
    (
        "ar_lever_base",
        &[
            ("plain", "mo32 44 20;mM26 34l46-26 8 10-40 34z"),
            ("knurled", "mo32 44 20;ly32 44 15 20 24;mM30 32l42-24 8 10-40 30z"),
        ],
    ),
    (
        "rotor_weight",
        &[
            ("outside", "(;lr26 12 40 48 6;);mr36 58 24 10 3"),
            ("none-outside", "(;lr26 12 40 48 6;lr12 20 14 32;)"),
            (
                "screwed",
                "(;lr26 4 40 48 6;);mr24 50 46 16 3;mo34 58 4.500;mo60 58 4.500;lM31 60l6-4m20 4l6-4",
            ),
        ],
    ),
    (
        "rotor_turn",
        &[
            (
                "clockwise",
                "(;lo48 36 18;);lM26 52a28 28 0 1 1 44 0;fM75 44l0 14-11-6z",
            ),
            (
                "anticlockwise",
                "(;lo48 36 18;);lM26 52a28 28 0 1 1 44 0;fM21 44l0 14 11-6z",
            ),
        ],
    ),
    (
        "badge",
        &[
            ("medal", "@body;mo42 36 15;lo42 36 11;fo42 36 3"),
            ("thick-medal", "@body;mb38 38 15 6-4;lo44 34 10;fo36 34 2;fo52 34 2"),
            ("plate", "@body;mr20 26 48 20 2;lM28 33h32m-32 6h32"),
            (
                "wave-plate",
                "@body;mM20 28q6-6 12 0t12 0 12 0 12 0v18q-6 6-12 0t-12 0-12 0-12 0z;lM28 37h32",
            ),
            ("printed", "@body;ft 42 42 18 ABC"),
        ],
    ),
    (
        "oil_port",
        &[
            ("rear", "@body;mr80 30 14 12 3;do88 36 2"),
            ("cover", "@plate;mo48 36 12;mr42 28 30 14 6;do48 36 3"),
            ("open-hole", "@plate;mo48 36 12;do48 36 7"),
            ("flush-screw", "@plate;lo48 36 12;lM38 39l18-10M40 43l18-10"),
            (
                "raised-cap",
                "(;lr8 44 80 14 2;);mM32 44v-20q16-16 32 0v20z;lv34 28 28 16 5",
            ),
        ],
    ),
    (
        "axle_support",
        &[("yes", "(;lr8 14 80 44 8;);mr12 32 62 8 3;mr62 24 12 24 2")],
    ),
    (
        "axle_tunnel",
        &[
            ("plain", "mr8 26 80 20 2;lM8 36h80"),
            ("enlarged", "mM8 26h44l8-8h20l8 8v20l-8 8h-20l-8-8h-44z;lM8 36h80"),
        ],
    ),
    ("osc_gear_pins", &[("present", "@gear 48 36;fn48 36 12 2.500 4 45")]),
    (
        "auto_drive",
        &[
            ("gear-tab", "@gear 44 40;mr60 8 10 22 1"),
            ("gear-pawl", "@gear 40 42;@pawl 72 26"),
        ],
    ),
    (
        "plate_finish",
        &[
            ("bright", "mo48 36 31;lM34 20l12-10m-16 20l26-22"),
            ("brushed", "mo48 36 31;lh26 22 44 30 4;lo48 36 27"),
        ],
    ),
    (
        "handle_slip",
        &[(
            "yes",
            "@flydrum;mo48 36 9;db62 20 7 14-3;lM20 60a36 36 0 0 0 50 4;fM68 58l10 2-7 9z",
        )],
    ),
    (
        "free_stripping",
        &[("yes", "(;lo36 36 28;);lM36 8q26-4 48 0;fM82 2l12 6-12 6z;mo36 36 8")],
    ),
    (
        "bait_click",
        &[("yes", "@closed;mo38 36 8;lM70 62q6 4 10 0m-12 5q8 5 16 0")],
    ),
    (
        "spool_removable",
        &[(
            "yes",
            "(;lr6 14 34 44 6;);mr50 14 6 44 2;mr56 24 18 24;mr74 14 6 44 2;lM84 36h4;fM86 31v10l9-5z",
        )],
    ),
    (
        "feathering",
        &[(
            "yes",
            "@closed;dM20 28q-6-12-16-8l4 10q6 4 12 4z;sM20 26q-6-16-18-10;lM64 66h28",
        )],
    ),
    (
        "tension_strap",
        &[
            ("machined-bar", "@plate;mo48 36 8;mr14 28 68 16 1;mo48 36 5"),
            (
                "pressed-bronze",
                "@plate;mM12 46q0-6 8-6h10q4-12 18-12t18 12h10q8 0 8 6z;mo48 36 5",
            ),
        ],
    ),
];
