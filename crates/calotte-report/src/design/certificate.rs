//! What was proved of linkages of two arcs, in words and as a document; and of what nothing was.

use calotte::brief::Brief;
use calotte::certificate::{Bound, Certificate, Found as FoundBest, Verdict};
use calotte::design::{EachFamily, FiveBar, ScissorLinkage, TwoArcArm};
use calotte::family::triangle::TriangleClass;
use calotte::quantity::Quantity;
use calotte::search::islands;
use calotte_document::certificate::{
    BoundDocument, CertificateDocument, Certificates, FoundLinkage,
};
use calotte_format::units::degrees;
use calotte_format::words;

use super::found::Found;
use crate::html::Block;

/// Digits of indices in sentences.
const DIGITS: usize = 4;

/// The document.
pub(super) fn document(found: &Found) -> Certificates {
    Certificates {
        proved: found.certificates.iter().map(one_document).collect(),
        searched_only: searched_only(&found.brief.value),
        words: sentences(found),
    }
}

/// For the terminal, a paragraph each.
pub(super) fn lines(found: &Found) -> Vec<String> {
    let mut lines: Vec<String> = found.certificates.iter().map(short).collect();
    if !lines.is_empty() {
        let rest = searched_only(&found.brief.value);
        if !rest.is_empty() {
            lines.push(format!("{}: searched, nothing proved", rest.join("; ")));
        }
    }
    lines
}

/// For the page.
pub(super) fn blocks(found: &Found) -> Vec<Block> {
    vec![
        Block::Subheading("What was proved".to_string()),
        Block::List(sentences(found)),
    ]
}

/// In full: each sentence holds by itself.
fn sentences(found: &Found) -> Vec<String> {
    let brief = &found.brief.value;
    let mut all: Vec<String> = found.certificates.iter().map(in_full).collect();
    let rest = searched_only(brief);
    if brief.kept.is_some() {
        all.push(
            "Parts of a prototype stay, whose arcs need not lie inside those of the brief: all of this was searched, and nothing is proved.".to_string(),
        );
    } else if !rest.is_empty() {
        all.push(format!(
            "Nothing is proved of what is no linkage of two arcs: {}. It was searched, and a better one may exist.",
            rest.join("; ")
        ));
    }
    all
}

/// Classes that are searched and not proved, in the order of the search.
fn searched_only(brief: &Brief) -> Vec<String> {
    let proved = TriangleClass::allowed(&brief.choice);
    let mut all: Vec<String> = Vec::new();
    for island in islands(brief) {
        let (family, stages) = (island.variant.family_name(), island.variant.stages());
        let same =
            |class: &TriangleClass| class.family_name() == family && class.stages() == stages;
        if brief.kept.is_none() && proved.iter().any(same) {
            continue;
        }
        let name = class_words(family.words(), stages);
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

fn class_words(family: &str, stages: Option<usize>) -> String {
    match stages {
        None => family.to_string(),
        Some(1) => format!("{family}, 1 stage"),
        Some(stages) => format!("{family}, {stages} stages"),
    }
}

/// The class and its box.
fn of_what(one: &Certificate) -> String {
    let class = class_words(one.class.family_name().words(), one.class.stages());
    let layout = one.class.layout().map_or(String::new(), |layout| {
        format!(", {}", layout.name().replace('-', " "))
    });
    let [near, far] = one
        .arcs
        .map(|[from, to]| format!("{} to {}", words::angle(from), words::angle(to)));
    let arcs = if near == far {
        format!("arcs {near}")
    } else {
        format!("near arc {near}, far arc {far}")
    };
    format!("{class}{layout}, {arcs}")
}

/// An upper bound, never printed below itself.
fn above(value: f64) -> String {
    let scale = 10f64.powi(DIGITS as i32);
    words::number((value * scale).ceil() / scale, DIGITS)
}

/// What was reached, never printed above itself.
fn below(value: f64) -> String {
    let scale = 10f64.powi(DIGITS as i32);
    words::number((value * scale).floor() / scale, DIGITS)
}

/// What a bound says after the name of its index: "at most 0.7351 (found 0.7347, gap 0.0004)".
fn bound_words(bound: &Bound) -> Option<String> {
    let upper = bound.upper?;
    let found = match (&bound.found, bound.gap()) {
        (Some(found), Some(gap)) => {
            format!("found {}, gap {}", below(found.value), above(gap))
        }
        _ => "none found that covers so much".to_string(),
    };
    Some(format!("at most {} ({found})", above(upper)))
}

/// Coverage and transmission angle, as far as they are asked for.
fn kept_words(one: &Certificate) -> String {
    let coverage = format!("coverage of at least {}", shown(one.coverage_min));
    match one.margins.transmission_angle_min {
        angle if angle > 0.0 && one.class.stages().is_some() => format!(
            "{coverage} with a transmission angle of at least {}",
            words::angle(angle)
        ),
        _ => coverage,
    }
}

/// A limit as it was given.
fn shown(value: f64) -> String {
    let text = words::number(value, 6);
    let text = text.trim_end_matches('0');
    text.trim_end_matches('.').to_string()
}

fn lci_limit(one: &Certificate) -> Option<String> {
    let limit = one.margins.lci_min;
    (limit > 0.0).then(|| format!("minimum LCI of at least {}", shown(limit)))
}

/// What of the limits is impossible, after "no linkage of it has"; `None` unless proved.
fn impossible_words(one: &Certificate) -> Option<String> {
    let Verdict::Impossible(quantity) = one.verdict else {
        return None;
    };
    let mut parts = vec![kept_words(one)];
    let mut at_most = None;
    if quantity != Quantity::Coverage {
        parts.extend(lci_limit(one));
        at_most = one
            .lci
            .upper
            .map(|upper| format!("minimum LCI at most {}", above(upper)));
    }
    if quantity == Quantity::Gci {
        parts.extend(
            one.gci_min
                .map(|limit| format!("GCI of at least {}", shown(limit))),
        );
        let upper = one.gci.as_ref().and_then(|gci| gci.upper);
        at_most = upper.map(|upper| format!("GCI at most {}", above(upper)));
    }
    let at_most = at_most.map_or(String::new(), |text| format!(" ({text})"));
    Some(format!("{}{at_most}", parts.join(" and ")))
}

/// In few words.
fn short(one: &Certificate) -> String {
    let of = of_what(one);
    if let Some(impossible) = impossible_words(one) {
        return format!("{of}: none has {impossible} (proved)");
    }
    let mut indices = Vec::new();
    let mut index = |name: &str, bound: &Bound| {
        let upper = bound.upper.map(above);
        let found = bound.found.as_ref().map(|found| below(found.value));
        indices.extend(upper.map(|upper| match found {
            Some(found) => format!("{name} ≤ {upper} (found {found})"),
            None => format!("{name} ≤ {upper} (none found)"),
        }));
    };
    index("minimum LCI", &one.lci);
    if let Some(gci) = &one.gci {
        index("GCI", gci);
    }
    let with = lci_limit(one).filter(|_| one.gci.is_some());
    let with = with.map_or(String::new(), |limit| format!("; GCI with {limit}"));
    let mut text = format!(
        "{of}: {}, proved for {}{with}",
        indices.join(", "),
        kept_words(one)
    );
    if one.verdict == Verdict::Undecided {
        text.push_str("; whether one keeps these limits is not decided");
    }
    text
}

/// The statement alone, in full.
fn statement(one: &Certificate) -> String {
    let of = of_what(one);
    if let Some(impossible) = impossible_words(one) {
        return format!("{of}: none has {impossible}");
    }
    let mut text = format!("{of}, {}:", kept_words(one));
    if let Some(lci) = bound_words(&one.lci) {
        text.push_str(&format!(" minimum LCI {lci}"));
    }
    if let Some(gci) = one.gci.as_ref().and_then(bound_words) {
        let also = lci_limit(one).map_or(String::new(), |limit| format!(" with {limit}"));
        text.push_str(&format!("; GCI{also} {gci}"));
    }
    if one.verdict == Verdict::Undecided {
        text.push_str("; whether one keeps these limits is not decided");
    }
    text
}

fn in_full(one: &Certificate) -> String {
    let tilts: Vec<String> = one
        .mount_tilts
        .iter()
        .map(|tilt| words::angle(*tilt))
        .collect();
    let gci_boxes = one.gci.as_ref().map_or(0, |gci| gci.boxes);
    format!(
        "Proved by interval arithmetic over {} boxes. {}. It holds for every assembly, size, material, joint and load; base axis {} from the axis of the region; other limits, keep-outs and clearing only take away from it.",
        one.lci.boxes + gci_boxes,
        capitalised(&statement(one)),
        tilts.join(" or "),
    )
}

fn capitalised(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or(String::new(), |first| {
        first.to_uppercase().collect::<String>() + characters.as_str()
    })
}

fn one_document(one: &Certificate) -> CertificateDocument {
    let [near_arc_deg, far_arc_deg] = one.arcs.map(|ends| ends.map(degrees));
    CertificateDocument {
        family: one.class.family_name().name().to_string(),
        stages: one.class.stages(),
        drive_layout: one.class.layout().map(|layout| layout.name().to_string()),
        near_arc_deg,
        far_arc_deg,
        mount_tilts_deg: one.mount_tilts.iter().map(|tilt| degrees(*tilt)).collect(),
        coverage_min: one.coverage_min,
        transmission_angle_min_deg: degrees(one.margins.transmission_angle_min),
        lci_min: one.margins.lci_min,
        gci_min: one.gci_min,
        verdict: match one.verdict {
            Verdict::Impossible(_) => "impossible",
            Verdict::Possible => "possible",
            Verdict::Undecided => "undecided",
        }
        .to_string(),
        impossible_for: match one.verdict {
            Verdict::Impossible(quantity) => Some(quantity.word().to_string()),
            Verdict::Possible | Verdict::Undecided => None,
        },
        minimum_lci: bound_document(&one.lci),
        gci: one.gci.as_ref().map(bound_document),
    }
}

fn bound_document(bound: &Bound) -> BoundDocument {
    BoundDocument {
        upper: bound.upper,
        found: bound.found.as_ref().map(found_document),
        gap: bound.gap(),
        boxes: bound.boxes,
    }
}

fn found_document(found: &FoundBest) -> FoundLinkage {
    FoundLinkage {
        near_arc_deg: degrees(found.arcs[0]),
        far_arc_deg: degrees(found.arcs[1]),
        assembly_modes: found.family.each(Modes),
        mount_tilt_deg: degrees(found.mount_tilt),
        value: found.value,
        coverage: found.coverage,
    }
}

/// Assembly modes of the stages.
struct Modes;

impl EachFamily<'_> for Modes {
    type Answer = Vec<i8>;

    fn scissor_linkage(self, scissor: &ScissorLinkage) -> Vec<i8> {
        scissor.assembly_modes.clone()
    }

    fn five_bar(self, _: &FiveBar) -> Vec<i8> {
        Vec::new()
    }

    fn two_arc_arm(self, _: &TwoArcArm) -> Vec<i8> {
        Vec::new()
    }
}
