//! How hard to set the drag for a line.

use super::answer::Figure;
use super::calculator::{Calculator, Choices, choice, number};
use super::drag::{ARBOR, FULL, spool_radii};
use super::units::Kind;
use crate::error::{Error, Result};

/// By how much the pull grows over the guides, which turn the line by this angle in all.
pub fn guide_factor(guide_friction: f64, guide_angle_deg: f64) -> f64 {
    (guide_friction * guide_angle_deg.to_radians()).exp()
}

pub(super) const SETTING: Calculator = Calculator {
    id: "drag-setting",
    title: "Drag setting for a line",
    about: "What a scale should read while the drag slips, for a line of this strength.",
    inputs: &[
        number("strength", "Strength of the line", Kind::Force, 0.1, 1000.0)
            .in_unit("lbf")
            .help("Of its weakest part: line, leader or knot."),
        choice("use", "Used for", Choices::DragShares).default("rod-loaded"),
        number("share_low", "Least share of the strength", Kind::Number, 0.01, 1.0).optional(),
        number("share_high", "Greatest share of the strength", Kind::Number, 0.01, 1.0).optional(),
        number("guide_friction", "Friction of the guides", Kind::Number, 0.0, 0.6).default("0.1 ± 0.05"),
        number("guide_angle", "Turn of the line over the guides, in all", Kind::Angle, 0.0, 720.0).default("90"),
        number("knot_share", "What the knot keeps of the strength", Kind::Number, 0.1, 1.0).optional(),
        FULL.optional().help("With the arbor: what becomes of the setting as the spool empties."),
        ARBOR.optional(),
    ],
    formula: "drag-setting",
    lines: &["setting", "capstan", "safe_fill"],
    cautions: &["hooks"],
    prepare: |given| {
        let share = given.facts().drag_shares.iter().find(|it| it.id == given.text("use")).map(|it| it.share);
        if let Some([low, high]) = share {
            for (id, value) in [("share_low", low), ("share_high", high)] {
                if given.get(id).is_none() {
                    given.set(id, value, 0.0);
                }
            }
        }
        if given.need("share_low")? > given.need("share_high")? {
            return Err(Error::invalid("The least share of the strength is above the greatest."));
        }
        Ok(())
    },
    figures: |given| {
        let strength = given.need("strength")?;
        let factor = guide_factor(given.need("guide_friction")?, given.need("guide_angle")?);
        let (low, high) = (given.need("share_low")? * strength, given.need("share_high")? * strength);
        let mut figures = vec![
            Figure::new("setting_low", "Setting, least", Kind::Force, low),
            Figure::new("setting_high", "Setting, most", Kind::Force, high),
            Figure::new("guide_factor", "Times that beyond the guides", Kind::Number, factor),
            Figure::new("beyond_guides", "The most, beyond the guides", Kind::Force, high * factor),
        ];
        if let Some(rise) = rise(given)? {
            let at_empty = high * factor * rise;
            let safe = given.get("knot_share").unwrap_or(1.0) / (rise * factor);
            figures.extend([
                Figure::new("at_empty", "The most, beyond the guides, spool nearly empty", Kind::Force, at_empty),
                Figure::new(
                    "at_empty_share",
                    "That, of the line's strength",
                    Kind::Percent,
                    at_empty / strength * 100.0,
                ),
                Figure::new("safe_share", "Greatest share that holds to the end", Kind::Number, safe),
            ]);
        }
        Ok(figures)
    },
    tell: |given, answer| {
        if let Some(it) = given.facts().drag_shares.iter().find(|it| it.id == given.text("use")) {
            answer.cite(given.reference, &it.src);
        }
        let holds = given.get("knot_share").unwrap_or(1.0) * 100.0;
        let most = answer.figure("at_empty_share").map(|figure| figure.value + figure.plus_minus);
        if let Some(most) = most.filter(|most| *most >= holds) {
            answer.warn(format!(
                "Set so, the pull may reach {most:.0} % of the line's strength before the spool is empty, and {holds:.0} % is \
                 all that it holds: ease the drag as the line goes out."
            ));
        }
        Ok(())
    },
};

fn rise(given: &super::calculator::Given) -> Result<Option<f64>> {
    if given.get("full_diameter").is_none() || given.get("arbor_diameter").is_none() {
        return Ok(None);
    }
    let (full, arbor) = spool_radii(given)?;
    Ok(Some(full / arbor))
}

#[cfg(test)]
mod tests {
    use super::guide_factor;

    #[test]
    fn straight_line_or_smooth_guides_add_nothing_and_two_bends_multiply() {
        assert_eq!(guide_factor(0.1, 0.0), 1.0);
        assert_eq!(guide_factor(0.0, 180.0), 1.0);
        assert!((guide_factor(0.2, 90.0).powi(2) - guide_factor(0.2, 180.0)).abs() < 1e-12);
    }
}
