//! Faults of the mechanics pack.

use super::super::{Confidence, Formula, MechanicsPack, SizedObject, SumCaution, ThreadSeries};
use super::Checker;
use crate::bench;

impl Checker<'_> {
    pub(super) fn mechanics(&mut self) {
        let own = self.own;
        let pack = &own.mechanics;
        if pack.id.is_empty() {
            return;
        }
        self.stand_at(&pack.id, "mechanics".into());
        self.ids_of_mechanics(pack);
        for (field, values) in
            [("gear_modules_mm", &pack.gear_modules_mm), ("gear_pitches_per_inch", &pack.gear_pitches_per_inch)]
        {
            if values.iter().any(|value| !above_nought(*value)) || values.windows(2).any(|two| two[0] >= two[1]) {
                self.fault(field, "the preferred values must be above 0 and rise");
            }
        }
        for series in &pack.threads {
            self.stand_at(&pack.id, format!("threads/{}", series.id));
            self.thread_series(series);
        }
        for bearing in &pack.bearings {
            self.stand_at(&pack.id, format!("bearings/{}", bearing.id));
            self.sizes(&[("bore_mm", Some(bearing.bore_mm)), ("width_mm", Some(bearing.width_mm))]);
            self.sizes(&[("open_width_mm", bearing.open_width_mm), ("flange_mm", bearing.flange_mm)]);
            if bearing.outside_mm.is_nan() || bearing.outside_mm <= bearing.bore_mm {
                self.fault("outside_mm", "the outside is not larger than the bore");
            }
            self.facts(&bearing.src, bearing.confidence);
        }
        for material in &pack.frictions {
            self.stand_at(&pack.id, format!("frictions/{}", material.id));
            self.not_empty("name", &material.name);
            for (field, band) in [("lubricated", material.lubricated), ("dry", material.dry)] {
                self.band(field, band);
            }
            if material.lubricated.or(material.dry).is_none() {
                self.fault("dry", "no coefficient is given, neither dry nor lubricated");
            }
            self.facts(&material.src, material.confidence);
        }
        for kind in &pack.lines {
            self.stand_at(&pack.id, format!("lines/{}", kind.id));
            if !["pounds", "threads", "number"].contains(&kind.marked.as_str()) {
                self.fault("marked", "a line is marked in `pounds`, `threads` or by `number`");
            }
            let labels: Vec<f64> = kind.sizes.iter().filter_map(|size| kind.label_of(size)).collect();
            if labels.len() != kind.sizes.len() || labels.windows(2).any(|two| two[0] >= two[1]) {
                self.fault("sizes", format!("each size needs its {}, and they must rise", kind.marked));
            }
            if kind.sizes.windows(2).any(|two| two[0].diameter_mm >= two[1].diameter_mm) {
                self.fault("sizes", "the diameters must rise with the label");
            }
            for size in &kind.sizes {
                self.sizes(&[("diameter_mm", Some(size.diameter_mm))]);
                self.band("range_mm", size.range_mm);
                if size.range_mm.is_some_and(|[least, most]| !(least..=most).contains(&size.diameter_mm)) {
                    self.fault("range_mm", format!("{} mm is outside of its own range", size.diameter_mm));
                }
                self.facts(&size.src, size.confidence);
            }
        }
        for metal in &pack.spring_metals {
            self.stand_at(&pack.id, format!("spring_metals/{}", metal.id));
            self.sizes(&[("shear_mpa", Some(metal.shear_mpa)), ("elastic_mpa", Some(metal.elastic_mpa))]);
            self.sources(&metal.src);
        }
        for share in &pack.drag_shares {
            self.stand_at(&pack.id, format!("drag_shares/{}", share.id));
            self.band("share", Some(share.share));
            self.sources(&share.src);
        }
        for object in &pack.objects {
            self.stand_at(&pack.id, format!("objects/{}", object.id));
            self.object(object);
        }
        for conversion in &pack.conversions {
            self.stand_at(&pack.id, format!("conversions/{}", conversion.id));
            self.sizes(&[("factor", Some(conversion.factor))]);
            self.facts(&conversion.src, conversion.confidence);
        }
        for caution in &pack.cautions {
            self.stand_at(&pack.id, format!("cautions/{}", caution.id));
            self.bench_caution(caution);
        }
        for formula in &pack.formulas {
            self.stand_at(&pack.id, format!("formulas/{}", formula.id));
            self.formula(formula);
        }
    }

    fn ids_of_mechanics(&mut self, pack: &MechanicsPack) {
        self.unique("threads", pack.threads.iter().map(|it| it.id.as_str()));
        self.unique("bearings", pack.bearings.iter().map(|it| it.id.as_str()));
        self.unique("frictions", pack.frictions.iter().map(|it| it.id.as_str()));
        self.unique("lines", pack.lines.iter().map(|it| it.id.as_str()));
        self.unique("spring_metals", pack.spring_metals.iter().map(|it| it.id.as_str()));
        self.unique("drag_shares", pack.drag_shares.iter().map(|it| it.id.as_str()));
        self.unique("objects", pack.objects.iter().map(|it| it.id.as_str()));
        self.unique("conversions", pack.conversions.iter().map(|it| it.id.as_str()));
        self.unique("cautions", pack.cautions.iter().map(|it| it.id.as_str()));
        self.unique("formulas", pack.formulas.iter().map(|it| it.id.as_str()));
    }

    fn thread_series(&mut self, series: &ThreadSeries) {
        self.not_empty("name", &series.name);
        self.facts(&series.src, series.confidence);
        self.unique("sizes", series.sizes.iter().map(|size| size.id.as_str()));
        self.sizes(&[("angle_deg", series.angle_deg), ("depth_factor", series.depth_factor)]);
        for size in &series.sizes {
            self.sizes(&[("major_mm", Some(size.major_mm)), ("tpi", size.tpi), ("pitch_mm", size.pitch_mm)]);
            if size.tpi.is_some() == size.pitch_mm.is_some() {
                self.fault("sizes", format!("{} needs either tpi or pitch_mm", size.id));
            } else if size.pitch() >= size.major_mm {
                self.fault("sizes", format!("the pitch of {} is not smaller than its diameter", size.id));
            }
            if !size.src.is_empty() {
                self.facts(&size.src, size.confidence.unwrap_or(series.confidence));
            }
        }
    }

    fn object(&mut self, object: &SizedObject) {
        self.not_empty("name", &object.name);
        self.sizes(&[
            ("diameter_mm", object.diameter_mm),
            ("width_mm", object.width_mm),
            ("height_mm", object.height_mm),
            ("corner_radius_mm", object.corner_radius_mm),
            ("thickness_mm", object.thickness_mm),
        ]);
        let flat = object.width_mm.is_some() && object.height_mm.is_some();
        if flat == object.diameter_mm.is_some() {
            self.fault("diameter_mm", "it needs either a diameter, or a width and a height");
        }
        self.facts(&object.src, object.confidence);
    }

    fn bench_caution(&mut self, caution: &SumCaution) {
        self.not_empty("risk", &caution.risk);
        self.not_empty("defer_to", &caution.defer_to);
        self.facts(&caution.src, caution.confidence);
    }

    fn formula(&mut self, formula: &Formula) {
        self.not_empty("title", &formula.title);
        self.facts(&formula.src, formula.confidence);
        for calculator in bench::calculators().iter().filter(|calculator| calculator.formula == formula.id) {
            for line in calculator.lines.iter().filter(|line| !formula.lines.contains_key(**line)) {
                self.fault("lines", format!("the calculator {} shows a line “{line}”", calculator.id));
            }
        }
    }

    /// Every fact has a source; what is only remembered is never called certain.
    fn facts(&mut self, src: &[String], confidence: Confidence) {
        self.sources(src);
        if src.is_empty() {
            self.fault("src", "it has no source");
        } else if confidence == Confidence::High && src.iter().all(|key| key == "memory") {
            self.fault("confidence", "what rests on memory alone is not of high confidence");
        }
    }

    fn sizes(&mut self, sizes: &[(&str, Option<f64>)]) {
        for (field, size) in sizes {
            if size.is_some_and(|size| !above_nought(size)) {
                self.fault(field, "it must be above 0");
            }
        }
    }

    fn band(&mut self, field: &str, band: Option<[f64; 2]>) {
        if band.is_some_and(|[least, most]| !above_nought(least) || least > most) {
            self.fault(field, "it needs a least above 0 and a most that is not below it");
        }
    }
}

fn above_nought(value: f64) -> bool {
    value > 0.0 && value.is_finite()
}
