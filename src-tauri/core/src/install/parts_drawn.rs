//! The parts that were chosen for the volume, drawn below the hookup: which lugs they go to.

use crate::physics::drawing::{Drawn, Of, Stands};
use crate::record::parts::TrebleBleed;

/// Where the pot's three lugs are, seen from behind, and how high the drawing is.
const LUGS: [(f64, &str); 3] = [(46.0, "outer"), (116.0, "middle"), (186.0, "ground")];
const HEIGHT: f64 = 112.0;

/// Draws a treble bleed from the outer lug of a volume to its middle one.
pub(super) fn bleed(drawn: &mut Drawn, pot: &str, bleed: TrebleBleed) {
    let top = drawn.height + 12.0;
    drawn.height += HEIGHT;
    let (outer, middle) = (LUGS[0].0, LUGS[1].0);
    drawn.line(Of::Thin, [4.0, top - 10.0], [356.0, top - 10.0], 1.0);
    drawn.between(Of::Case, [outer - 30.0, top], [LUGS[2].0 + 30.0, top + 34.0], 6.0);
    let (lug, low) = (top + 44.0, top + 74.0);
    for way in [[[outer, lug], [outer, low]], [[outer, low], [middle, low]], [[middle, low], [middle, lug]]] {
        drawn.line(Of::Act, way[0], way[1], 2.0);
    }
    for (x, name) in LUGS {
        drawn.round(Of::Steel, [x, lug], 5.0);
        drawn.word(Of::OnCase, [x, top + 21.0], Stands::Middle, name);
    }
    drawn.round(Of::Final, [f64::midpoint(outer, middle), low], 5.0);
    drawn.word(Of::Strong, [LUGS[2].0 + 38.0, top + 21.0], Stands::Start, pot.trim_start_matches("the "));
    drawn.word(Of::Strong, [middle + 12.0, low - 4.0], Stands::Start, "treble bleed");
    drawn.word(Of::Plain, [middle + 12.0, low + 12.0], Stands::Start, in_words(bleed));
    drawn.desc.push_str(&format!(
        " A treble bleed, {}, goes from the outer lug of {pot} that is not at ground to its middle lug.",
        in_words(bleed)
    ));
}

/// `1 nF, 150 kΩ across it`.
pub(super) fn in_words(bleed: TrebleBleed) -> String {
    let in_row = bleed.in_row.map_or_else(String::new, |ohms| format!(", {} in a row", ohms.shown()));
    let across = bleed.across.map_or_else(String::new, |ohms| format!(", {} across it", ohms.shown()));
    format!("{}{in_row}{across}", bleed.capacitor.shown())
}
