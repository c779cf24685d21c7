//! Puts bars into layers one after the other, leaving out what cannot be best.

use super::sizes::Round;
use super::tables::{Mask, Tables};

/// Arrangements, whole or in part, looked at for one number of layers, times the third
/// power of the number of bars: what one costs grows with its square, and the numbers of
/// layers with it, so that any number of stages takes a second or two at most. Up to
/// three stages all arrangements are looked at.
const NODES_MAX: usize = 25_000_000;

/// What an arrangement is worth: samples of the wanted range that are free, then those
/// of the whole range if they count (more is better), then pins, then base bars far from
/// the housing (less is better).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    wanted: u32,
    free: u32,
    short_pins: i64,
    base_outside: i64,
}

/// The search over arrangements of one number of layers.
pub(super) struct Search<'t> {
    tables: &'t Tables,
    count: usize,
    /// Whether more than the wanted range counts.
    widest: bool,
    dropped: &'t [Vec<usize>],
    /// Bars in the order in which they are placed: along the chain from the tool, so
    /// that joints are complete early.
    order: Vec<usize>,
    placed: Vec<Option<usize>>,
    best: Option<(Worth, Vec<usize>)>,
    nodes: usize,
    /// Whether all arrangements were looked at.
    pub(super) complete: bool,
}

impl<'t> Search<'t> {
    pub(super) fn new(
        tables: &'t Tables,
        count: usize,
        widest: bool,
        dropped: &'t [Vec<usize>],
    ) -> Self {
        Self {
            tables,
            count,
            widest,
            dropped,
            order: order(tables),
            placed: vec![None; tables.bars()],
            best: None,
            nodes: 0,
            complete: true,
        }
    }

    /// The best arrangement; `None` if none leaves the middle of the wanted range free.
    pub(super) fn run(&mut self) -> Option<Vec<usize>> {
        self.descend(0, Mask::MAX, 0);
        self.best.as_ref().map(|(_, layers)| layers.clone())
    }

    /// Whether every sample of the wanted range is free.
    pub(super) fn covers_all_wanted(&self) -> bool {
        let wanted = self.tables.wanted.count_ones();
        self.best
            .as_ref()
            .is_some_and(|(worth, _)| worth.wanted == wanted)
    }

    /// Starts from what splitting a layer of an arrangement of one layer less gives: one
    /// bar moves to a layer of its own beside it.
    pub(super) fn start_from(&mut self, fewer: &[usize]) {
        for bar in 0..fewer.len() {
            for above in [0, 1] {
                let new_layer = fewer[bar] + above;
                let mut layers: Vec<usize> = fewer
                    .iter()
                    .map(|layer| layer + usize::from(*layer >= new_layer))
                    .collect();
                layers[bar] = new_layer;
                self.offer(&layers);
            }
        }
    }

    /// Takes a whole arrangement into account.
    fn offer(&mut self, layers: &[usize]) {
        let (mut free, mut pins) = (Mask::MAX, 0);
        for depth in 0..self.order.len() {
            let bar = self.order[depth];
            if self.joint_in_layer(bar, layers[bar]) {
                free = 0;
            }
            self.placed[bar] = Some(layers[bar]);
            let (own_pins, own_free) = self.with(bar, layers[bar]);
            (free, pins) = (free & own_free, pins + own_pins);
        }
        let innermost = self.tables.carrier.is_none_or(|bar| layers[bar] == 0);
        if innermost && self.empty_layers() == 0 {
            self.finish(free, pins);
        }
        self.placed.fill(None);
    }

    fn worth(&self, free: Mask, pins: usize) -> Worth {
        let base_outside = self
            .tables
            .base_bars
            .iter()
            .filter_map(|bar| self.placed[*bar])
            .map(|layer| layer as i64 - self.count as i64)
            .sum();
        let run = connected(free & self.tables.all, self.tables.inside);
        Worth {
            wanted: (run & self.tables.wanted).count_ones(),
            free: if self.widest { run.count_ones() } else { 0 },
            short_pins: -(pins as i64),
            base_outside,
        }
    }

    /// Whether this and anything built on it cannot be better than the best.
    fn hopeless(&self, free: Mask, pins: usize) -> bool {
        let mut worth = self.worth(free, pins);
        // At best the base bars fill the outermost layers.
        let base_bars = self.tables.base_bars.len() as i64;
        worth.base_outside = -base_bars * (base_bars + 1) / 2;
        worth.wanted == 0 || self.best.as_ref().is_some_and(|(best, _)| worth <= *best)
    }

    fn descend(&mut self, depth: usize, free: Mask, pins: usize) {
        self.nodes += 1;
        if self.nodes > NODES_MAX / self.tables.bars().pow(3) {
            self.complete = false;
            return;
        }
        let bars = self.tables.bars();
        if depth == bars {
            self.finish(free, pins);
            return;
        }
        let bar = self.order[depth];
        let layers = if Some(bar) == self.tables.carrier {
            0..1
        } else {
            0..self.count
        };
        for layer in layers {
            if self.joint_in_layer(bar, layer) {
                continue;
            }
            self.placed[bar] = Some(layer);
            let remaining = bars - depth - 1;
            if self.empty_layers() <= remaining {
                let (own_pins, own_free) = self.with(bar, layer);
                let (free, pins) = (free & own_free, pins + own_pins);
                if !self.hopeless(free, pins + self.open_joints()) {
                    self.descend(depth + 1, free, pins);
                }
            }
            self.placed[bar] = None;
        }
    }

    fn finish(&mut self, free: Mask, pins: usize) {
        let worth = self.worth(free & self.shafts(), pins);
        let better = self.best.as_ref().is_none_or(|(best, _)| worth > *best);
        if worth.wanted == 0 || !better {
            return;
        }
        let layers: Vec<usize> = self.placed.iter().flatten().copied().collect();
        if !self.dropped.contains(&layers) {
            self.best = Some((worth, layers));
        }
    }

    fn empty_layers(&self) -> usize {
        (0..self.count)
            .filter(|layer| !self.placed.contains(&Some(*layer)))
            .count()
    }

    /// Joints whose pin is not placed yet; each is one pitch long at least.
    fn open_joints(&self) -> usize {
        self.tables
            .joints
            .iter()
            .filter(|joint| {
                let open = |bar: &Option<usize>| bar.is_some_and(|b| self.placed[b].is_none());
                joint.bars.iter().any(open)
            })
            .count()
    }

    fn joint_in_layer(&self, bar: usize, layer: usize) -> bool {
        self.tables.joints.iter().any(|joint| {
            joint.bars.contains(&Some(bar))
                && joint
                    .bars
                    .iter()
                    .flatten()
                    .any(|other| *other != bar && self.placed[*other] == Some(layer))
        })
    }

    /// The pin of a joint if both its bars are placed.
    fn pin(&self, joint: usize) -> Option<[i32; 2]> {
        let [first, second] = self.tables.joints[joint].bars.map(|bar| match bar {
            None => Some(-1),
            Some(bar) => self.placed[bar].map(|layer| layer as i32),
        });
        let (first, second) = (first?, second?);
        Some([first.min(second), first.max(second)])
    }

    /// What a bar just placed adds: pins, and what it and they leave free.
    fn with(&self, bar: usize, layer: usize) -> (usize, Mask) {
        let tables = self.tables;
        let mut free = Mask::MAX;
        for (other, at) in self.placed.iter().enumerate() {
            if other != bar && *at == Some(layer) {
                free &= tables.share(bar, other, layer);
            }
        }
        if let Some(axis) = tables.tool_axis
            && !tables.tool_assembled.contains(&bar)
        {
            free &= tables.beside(axis, Round::Tool, bar, layer);
        }
        let mut pins = 0;
        for joint in 0..tables.joints.len() {
            let Some(span) = self.pin(joint) else {
                continue;
            };
            let own = tables.joints[joint].bars.contains(&Some(bar));
            if own {
                pins += (span[1] - span[0]) as usize;
            }
            if !tables.has_pins() {
                continue;
            }
            if own {
                free &= self.with_pin(joint, span);
            } else if !tables.joints[joint].assembled.contains(&bar) {
                free &= tables.beside(tables.joints[joint].axis, Round::Pin(span), bar, layer);
            }
        }
        (pins, free)
    }

    /// What a pin just placed leaves free among the bars and pins placed so far.
    fn with_pin(&self, joint: usize, span: [i32; 2]) -> Mask {
        let tables = self.tables;
        let PinOf { axis, assembled } = PinOf::of(tables, joint);
        let mut free = Mask::MAX;
        for (bar, at) in self.placed.iter().enumerate() {
            if let Some(layer) = at
                && !assembled.contains(&bar)
            {
                free &= tables.beside(axis, Round::Pin(span), bar, *layer);
            }
        }
        for other in 0..tables.joints.len() {
            let Some(other_span) = self.pin(other) else {
                continue;
            };
            let them = PinOf::of(tables, other);
            // Pins of one bar keep their distance whatever the linkage does.
            let tied = other == joint || them.assembled.iter().any(|bar| assembled.contains(bar));
            if !tied {
                let rounds = [Round::Pin(span), Round::Pin(other_span)];
                free &= tables.passing([axis, them.axis], rounds);
            }
        }
        free
    }

    /// What the base shafts leave free of bars and pins, all bars placed.
    fn shafts(&self) -> Mask {
        let tables = self.tables;
        let mut ends: Vec<i32> = tables
            .base_bars
            .iter()
            .filter_map(|bar| self.placed[*bar])
            .map(|layer| layer as i32)
            .collect();
        ends.sort_unstable();
        let mut free = Mask::MAX;
        for (index, from) in ends.iter().enumerate() {
            let shaft = if index == 0 {
                Round::SolidShaft(*from)
            } else {
                Round::HollowShaft(*from)
            };
            for (bar, at) in self.placed.iter().enumerate() {
                if let Some(layer) = at
                    && !tables.base_bars.contains(&bar)
                {
                    free &= tables.beside(tables.base_axis, shaft, bar, *layer);
                }
            }
            if !tables.has_pins() {
                continue;
            }
            for joint in 0..tables.joints.len() {
                let PinOf { axis, assembled } = PinOf::of(tables, joint);
                let tied = assembled.iter().any(|bar| tables.base_bars.contains(bar));
                if !tied && let Some(span) = self.pin(joint) {
                    free &= tables.passing([tables.base_axis, axis], [shaft, Round::Pin(span)]);
                }
            }
        }
        free
    }
}

/// A pin's axis and the bars on it.
struct PinOf<'t> {
    axis: usize,
    assembled: &'t [usize],
}

impl<'t> PinOf<'t> {
    fn of(tables: &'t Tables, joint: usize) -> Self {
        Self {
            axis: tables.joints[joint].axis,
            assembled: &tables.joints[joint].assembled,
        }
    }
}

/// Bars from the tool's carrier along the joints, the last first.
fn order(tables: &Tables) -> Vec<usize> {
    let start = tables.carrier.unwrap_or(tables.bars() - 1);
    let mut order = vec![start];
    let mut next = 0;
    while next < order.len() {
        let here = order[next];
        next += 1;
        for joint in &tables.joints {
            if joint.bars.contains(&Some(here)) {
                for other in joint.bars.iter().flatten() {
                    if !order.contains(other) {
                        order.push(*other);
                    }
                }
            }
        }
    }
    for bar in 0..tables.bars() {
        if !order.contains(&bar) {
            order.push(bar);
        }
    }
    order
}

/// The run of free samples about one of them.
fn connected(free: Mask, inside: usize) -> Mask {
    if (free >> inside) & 1 == 0 {
        return 0;
    }
    let above = (!(free >> inside)).trailing_zeros() as usize;
    let below = (!(free << (Mask::BITS as usize - 1 - inside))).leading_zeros() as usize;
    let ones = |count: usize| {
        if count >= Mask::BITS as usize {
            Mask::MAX
        } else {
            (1 << count) - 1
        }
    };
    (ones(above) << inside) | (ones(below) << (inside + 1 - below))
}

#[cfg(test)]
mod tests {
    use super::connected;

    #[test]
    fn the_run_about_a_sample() {
        assert_eq!(connected(0b1110_1101, 6), 0b1110_0000);
        assert_eq!(connected(0b1110_1101, 3), 0b0000_1100);
        assert_eq!(connected(0b1110_1101, 4), 0);
        assert_eq!(connected(u128::MAX, 5), u128::MAX);
        assert_eq!(connected(1, 0), 1);
        assert_eq!(connected(1 << 127, 127), 1 << 127);
    }
}
