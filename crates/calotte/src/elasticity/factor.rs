//! Sparse LDLᵀ of a symmetric positive definite matrix by fronts, bordered by at most one
//! constraint.
//!
//! Unknowns come in groups (all motions at one joint axis). The order of
//! elimination and every index map depend on the topology only and are found
//! once ([`Symbolic`]); a factorisation copies constant entries, adds the
//! element matrices and eliminates group by group in small dense fronts.

use thiserror::Error;

/// Order of elimination and index maps, once per topology.
#[derive(Debug, Clone)]
pub struct Symbolic {
    /// Number of unknowns.
    pub unknowns: usize,
    fronts: Vec<Front>,
    /// The unknown that is the force of a constraint; its pivot is negative.
    held_by: Option<usize>,
    /// For every element: the front it is added to and its rows there.
    element_rows: Vec<(usize, Vec<u32>)>,
}

#[derive(Debug, Clone)]
struct Front {
    /// Unknowns eliminated here, then the boundary.
    rows: Vec<usize>,
    pivots: usize,
    /// Constant entries, column-major lower triangle in a full square.
    template: Vec<f64>,
    /// Fronts whose remainder is added here, with its rows here.
    children: Vec<(usize, Vec<u32>)>,
}

/// A row that does not exist: the motion is fixed.
pub const FIXED: u32 = u32::MAX;

/// A matrix that is not positive definite.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("the structure can move without resistance (unknown {unknown} has no stiffness left)")]
pub struct SingularMatrix {
    /// Unknown whose pivot vanished.
    pub unknown: usize,
}

impl Symbolic {
    /// Finds order and maps.
    ///
    /// - `group_of`: the group of every unknown; groups are numbered from 0.
    /// - `elements`: unknowns of every element, `None` where fixed.
    /// - `last`: the group to eliminate last.
    pub fn new(group_of: &[usize], elements: &[Vec<Option<usize>>], last: usize) -> Self {
        let groups = group_of.iter().copied().max().map_or(0, |g| g + 1);
        let members: Vec<Vec<usize>> = (0..groups)
            .map(|g| (0..group_of.len()).filter(|u| group_of[*u] == g).collect())
            .collect();
        let mut neighbours: Vec<Vec<bool>> = vec![vec![false; groups]; groups];
        for element in elements {
            let touched: Vec<usize> = element.iter().flatten().map(|u| group_of[*u]).collect();
            for a in &touched {
                for b in &touched {
                    neighbours[*a][*b] = true;
                }
            }
        }
        let order = elimination_order(&members, &mut neighbours, last);
        let mut place = vec![0; groups];
        for (index, (group, _)) in order.iter().enumerate() {
            place[*group] = index;
        }
        let mut fronts: Vec<Front> = order
            .iter()
            .map(|(group, boundary)| {
                let mut rows = members[*group].clone();
                let pivots = rows.len();
                let mut boundary = boundary.clone();
                boundary.sort_by_key(|g| place[*g]);
                for g in boundary {
                    rows.extend(&members[g]);
                }
                let size = rows.len();
                Front {
                    rows,
                    pivots,
                    template: vec![0.0; size * size],
                    children: Vec::new(),
                }
            })
            .collect();
        for index in 0..fronts.len() {
            let remainder = fronts[index].rows[fronts[index].pivots..].to_vec();
            let Some(parent) = remainder.first().map(|u| place[group_of[*u]]) else {
                continue;
            };
            let map = rows_in(&fronts[parent].rows, &remainder);
            fronts[parent].children.push((index, map));
        }
        let element_rows = elements
            .iter()
            .map(|element| {
                let front = element
                    .iter()
                    .flatten()
                    .map(|u| place[group_of[*u]])
                    .min()
                    .unwrap_or(0);
                let rows = element
                    .iter()
                    .map(|u| match u {
                        Some(u) => position(&fronts[front].rows, *u),
                        None => FIXED,
                    })
                    .collect();
                (front, rows)
            })
            .collect();
        Self {
            unknowns: group_of.len(),
            fronts,
            held_by: None,
            element_rows,
        }
    }

    /// Makes an unknown the force of a constraint, whose entries in the rows of the motions it
    /// holds are its weights. It is the last of its group, and the matrix without it is
    /// positive definite.
    pub fn hold(&mut self, unknown: usize) {
        self.held_by = Some(unknown);
    }

    /// Adds a constant entry to the matrix at two unknowns, symmetric.
    pub fn add_constant(&mut self, row: usize, column: usize, value: f64) {
        let front = self
            .fronts
            .iter_mut()
            .find(|f| f.rows[..f.pivots].contains(&row) || f.rows[..f.pivots].contains(&column));
        let Some(front) = front else { return };
        let size = front.rows.len();
        let (r, c) = (
            position(&front.rows, row) as usize,
            position(&front.rows, column) as usize,
        );
        let (low, high) = (r.min(c), r.max(c));
        front.template[low * size + high] += value;
    }

    /// Factorises; `element_matrix` is asked for every element's matrix in turn,
    /// written column-major into the square it is handed.
    ///
    /// # Errors
    /// [`SingularMatrix`] if a pivot vanishes against its start value.
    pub fn factorise(
        &self,
        element_size: usize,
        element_matrix: impl FnMut(usize, &mut [f64]),
    ) -> Result<Factor<'_>, SingularMatrix> {
        self.factorise_raised(0.0, element_size, element_matrix)
    }

    /// As [`Symbolic::factorise`], with every unknown's own stiffness raised by a share of it,
    /// so that what moves without resistance has an answer too.
    ///
    /// # Errors
    /// As [`Symbolic::factorise`].
    pub fn factorise_raised(
        &self,
        share: f64,
        element_size: usize,
        mut element_matrix: impl FnMut(usize, &mut [f64]),
    ) -> Result<Factor<'_>, SingularMatrix> {
        let mut panels: Vec<Vec<f64>> = self.fronts.iter().map(|f| f.template.clone()).collect();
        let mut diagonal = self.template_diagonal();
        let mut buffer = vec![0.0; element_size * element_size];
        for (element, (front, rows)) in self.element_rows.iter().enumerate() {
            element_matrix(element, &mut buffer);
            scatter(
                &mut panels[*front],
                self.fronts[*front].rows.len(),
                &buffer,
                element_size,
                rows,
            );
            let front_rows = &self.fronts[*front].rows;
            for (k, row) in rows.iter().enumerate().filter(|(_, r)| **r != FIXED) {
                diagonal[front_rows[*row as usize]] += buffer[k * (element_size + 1)];
            }
        }
        for index in 0..self.fronts.len() {
            let front = &self.fronts[index];
            let size = front.rows.len();
            let (done, rest) = panels.split_at_mut(index);
            let panel = &mut rest[0];
            for (child, map) in &front.children {
                let child_front = &self.fronts[*child];
                add_remainder(
                    panel,
                    size,
                    &done[*child],
                    child_front.rows.len(),
                    child_front.pivots,
                    map,
                );
            }
            let unknowns = &front.rows[..front.pivots];
            if share > 0.0 {
                for (k, unknown) in unknowns.iter().enumerate() {
                    panel[k * (size + 1)] += share * diagonal[*unknown];
                }
            }
            eliminate(panel, size, unknowns, &diagonal, self.held_by)?;
        }
        Ok(Factor {
            symbolic: self,
            panels,
            diagonal,
        })
    }
}

impl Symbolic {
    /// Diagonal of the constant entries, by unknown.
    fn template_diagonal(&self) -> Vec<f64> {
        let mut diagonal = vec![0.0; self.unknowns];
        for front in &self.fronts {
            for (k, unknown) in front.rows[..front.pivots].iter().enumerate() {
                diagonal[*unknown] = front.template[k * (front.rows.len() + 1)];
            }
        }
        diagonal
    }
}

/// A pivot this far below the stiffness that went in is rounding noise.
const PIVOT_MIN: f64 = 1e-13;

/// Greedy least boundary, the given group last; returns groups with their boundaries.
fn elimination_order(
    members: &[Vec<usize>],
    neighbours: &mut [Vec<bool>],
    last: usize,
) -> Vec<(usize, Vec<usize>)> {
    let groups = members.len();
    let mut open = vec![true; groups];
    let mut order = Vec::with_capacity(groups);
    for step in 0..groups {
        let boundary = |g: usize, neighbours: &[Vec<bool>]| -> Vec<usize> {
            (0..groups)
                .filter(|h| *h != g && open[*h] && neighbours[g][*h])
                .collect()
        };
        let next = (0..groups)
            .filter(|g| open[*g] && (*g != last || step + 1 == groups))
            .min_by_key(|g| {
                boundary(*g, neighbours)
                    .iter()
                    .map(|h| members[*h].len())
                    .sum::<usize>()
            })
            .unwrap_or(last);
        let around = boundary(next, neighbours);
        for a in &around {
            for b in &around {
                neighbours[*a][*b] = true;
            }
        }
        open[next] = false;
        order.push((next, around));
    }
    order
}

fn position(rows: &[usize], unknown: usize) -> u32 {
    rows.iter()
        .position(|u| *u == unknown)
        .map_or(FIXED, |p| p as u32)
}

fn rows_in(rows: &[usize], wanted: &[usize]) -> Vec<u32> {
    wanted.iter().map(|u| position(rows, *u)).collect()
}

/// Adds the lower triangle of a full element matrix to a front.
fn scatter(panel: &mut [f64], size: usize, element: &[f64], element_size: usize, rows: &[u32]) {
    for (j, column) in rows.iter().enumerate() {
        if *column == FIXED {
            continue;
        }
        let source = &element[j * element_size..(j + 1) * element_size];
        let target = &mut panel[*column as usize * size..(*column as usize + 1) * size];
        for (value, row) in source.iter().zip(rows) {
            if *row != FIXED && row >= column {
                target[*row as usize] += value;
            }
        }
    }
}

/// Adds a child's remainder (below and right of its pivots) to its parent.
fn add_remainder(
    panel: &mut [f64],
    size: usize,
    child: &[f64],
    child_size: usize,
    child_pivots: usize,
    map: &[u32],
) {
    for (j, column) in map.iter().enumerate() {
        let start = (child_pivots + j) * child_size + child_pivots;
        let source = &child[start..start + map.len()];
        let column = *column as usize;
        for (i, row) in map.iter().enumerate().skip(j) {
            // The maps ascend, so the lower triangle stays the lower one.
            panel[column * size + *row as usize] += source[i];
        }
    }
}

/// Eliminates the columns of `unknowns`, which come first, of a dense lower
/// triangle in place: columns become L with D on the diagonal, the rest the
/// Schur complement. `diagonal` is the stiffness that went into each unknown, `held_by` the
/// force of a constraint.
fn eliminate(
    panel: &mut [f64],
    size: usize,
    unknowns: &[usize],
    diagonal: &[f64],
    held_by: Option<usize>,
) -> Result<(), SingularMatrix> {
    for (k, unknown) in unknowns.iter().enumerate() {
        let (left, right) = panel.split_at_mut((k + 1) * size);
        let column = &mut left[k * size..];
        let pivot = column[k];
        let sound = match held_by == Some(*unknown) {
            true => pivot < 0.0,
            false => pivot > PIVOT_MIN * diagonal[*unknown],
        };
        if !sound {
            return Err(SingularMatrix { unknown: *unknown });
        }
        let inverse = 1.0 / pivot;
        for (j, target) in right.chunks_exact_mut(size).enumerate() {
            let row = k + 1 + j;
            let factor = -column[row] * inverse;
            if factor != 0.0 {
                for (t, c) in target[row..].iter_mut().zip(&column[row..]) {
                    *t += factor * c;
                }
            }
        }
        for value in &mut column[k + 1..] {
            *value *= inverse;
        }
    }
    Ok(())
}

/// A factorised matrix.
#[derive(Debug, Clone)]
pub struct Factor<'a> {
    symbolic: &'a Symbolic,
    panels: Vec<Vec<f64>>,
    diagonal: Vec<f64>,
}

impl Factor<'_> {
    /// The stiffness that went into each unknown; none into the force of a constraint.
    pub fn diagonal(&self) -> &[f64] {
        &self.diagonal
    }

    /// Solves in place for one right side over all unknowns.
    pub fn solve(&self, right: &mut [f64]) {
        for (front, panel) in self.symbolic.fronts.iter().zip(&self.panels) {
            let size = front.rows.len();
            for k in 0..front.pivots {
                let value = right[front.rows[k]];
                if value == 0.0 {
                    continue;
                }
                for (row, l) in front.rows[k + 1..]
                    .iter()
                    .zip(&panel[k * size + k + 1..(k + 1) * size])
                {
                    right[*row] -= l * value;
                }
            }
        }
        for (front, panel) in self.symbolic.fronts.iter().zip(&self.panels).rev() {
            let size = front.rows.len();
            for k in (0..front.pivots).rev() {
                let column = &panel[k * size..(k + 1) * size];
                let mut value = right[front.rows[k]] / column[k];
                for (row, l) in front.rows[k + 1..].iter().zip(&column[k + 1..]) {
                    value -= l * right[*row];
                }
                right[front.rows[k]] = value;
            }
        }
    }

    /// Solves in place for a right side that is zero outside the group
    /// eliminated last, and only there: `right` belongs to that group's unknowns.
    pub fn solve_last(&self, right: &mut [f64]) {
        let (Some(front), Some(panel)) = (self.symbolic.fronts.last(), self.panels.last()) else {
            return;
        };
        let size = front.rows.len();
        for k in 0..size {
            let value = right[k];
            for (r, l) in right[k + 1..].iter_mut().zip(&panel[k * size + k + 1..]) {
                *r -= l * value;
            }
        }
        for k in (0..size).rev() {
            let column = &panel[k * size..(k + 1) * size];
            let mut value = right[k] / column[k];
            for (r, l) in right[k + 1..].iter().zip(&column[k + 1..]) {
                value -= l * r;
            }
            right[k] = value;
        }
    }

    /// Unknowns of the group eliminated last, in the order `solve_last` takes them.
    pub fn last_unknowns(&self) -> &[usize] {
        self.symbolic.fronts.last().map_or(&[], |f| &f.rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn random_chain_agrees_with_dense_cholesky() {
        // Six groups of three unknowns in a ring: elements tie neighbours.
        let groups = 6;
        let group_of: Vec<usize> = (0..3 * groups).map(|u| u / 3).collect();
        let elements: Vec<Vec<Option<usize>>> = (0..groups)
            .map(|g| {
                let next = (g + 1) % groups;
                (0..3)
                    .map(|k| Some(3 * g + k))
                    .chain((0..3).map(|k| {
                        if g == 4 && k == 0 {
                            None
                        } else {
                            Some(3 * next + k)
                        }
                    }))
                    .collect()
            })
            .collect();
        let mut symbolic = Symbolic::new(&group_of, &elements, 2);
        let mut dense = DMatrix::<f64>::zeros(18, 18);
        let mut seed = 1u64;
        let mut random = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as f64 / f64::from(1u32 << 31) - 0.5
        };
        let matrices: Vec<DMatrix<f64>> = (0..groups)
            .map(|_| {
                let b = DMatrix::from_fn(6, 6, |_, _| random());
                &b * b.transpose()
            })
            .collect();
        for (element, matrix) in elements.iter().zip(&matrices) {
            for i in 0..6 {
                for j in 0..6 {
                    if let (Some(r), Some(c)) = (element[i], element[j]) {
                        dense[(r, c)] += matrix[(i, j)];
                    }
                }
            }
        }
        symbolic.add_constant(4, 4, 2.0);
        symbolic.add_constant(4, 7, -0.5);
        dense[(4, 4)] += 2.0;
        dense[(4, 7)] -= 0.5;
        dense[(7, 4)] -= 0.5;
        let factor = symbolic
            .factorise(6, |e, out| out.copy_from_slice(matrices[e].as_slice()))
            .unwrap();
        let right: Vec<f64> = (0..18).map(|i| f64::from(i) - 7.0).collect();
        let expected = dense
            .cholesky()
            .unwrap()
            .solve(&DVector::from_vec(right.clone()));
        let mut solved = right;
        factor.solve(&mut solved);
        for (a, b) in solved.iter().zip(expected.iter()) {
            assert!((a - b).abs() < 1e-9 * expected.norm());
        }
    }
}
