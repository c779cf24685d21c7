//! Stations, arcs and joints as a graph: a spanning tree from the ground gives
//! every station's twist, every edge beyond it closes a loop in space.

use nalgebra::{DMatrix, Vector3, Vector6};

use crate::design::Design;
use crate::elasticity::arc::BarStiffness;
use crate::elasticity::error::ElasticityError;
use crate::linkage::{Configuration, Follower, Joint, Linkage, Place, tangent_towards};
use crate::sphere::arc_between;
use crate::sphere::direction::any_perpendicular;

use super::springs::{PlacedArc, hinge, six};
use super::{VirtualJointError, VirtualJointModel};

/// Twists at the remote centre, base frame, lengths over the joint radius;
/// columns are springs, passive joints with released directions, driven joints.
pub(super) struct Chains {
    /// Springs, the first columns.
    pub spring_count: usize,
    /// Passive joints and released directions, the next columns.
    pub passive_count: usize,
    /// What spring columns were divided by, so that the longest is 1.
    pub spring_scale: f64,
    /// Closure of every loop, six rows each.
    pub closure: DMatrix<f64>,
    /// Twist of the tool's body at its station, 6 rows.
    pub tool: DMatrix<f64>,
}

/// An arc or a joint: the twist of `to` is that of `from` and its own columns.
struct Edge {
    from: usize,
    to: usize,
    columns: Vec<(usize, Vector6<f64>)>,
}

/// The graph before it is walked.
struct Graph {
    /// Places in the order of their bodies; all of the ground's are one node, 0.
    places: Vec<Place>,
    edges: Vec<Edge>,
}

impl Graph {
    fn node(&self, place: Place) -> usize {
        if place.body == 0 {
            return 0;
        }
        let found = self.places.iter().position(|p| *p == place);
        found.map_or(0, |index| index + 1)
    }

    /// Twists of all nodes and closure of all loops over `columns` columns.
    ///
    /// # Errors
    /// The first place that nothing ties to the ground.
    fn walk(&self, columns: usize) -> Result<(Vec<DMatrix<f64>>, DMatrix<f64>), Place> {
        let mut twists: Vec<Option<DMatrix<f64>>> = vec![None; self.places.len() + 1];
        twists[0] = Some(DMatrix::zeros(6, columns));
        let mut in_tree = vec![false; self.edges.len()];
        let mut reached = vec![0];
        let mut next = 0;
        while next < reached.len() {
            let here = reached[next];
            next += 1;
            for (index, edge) in self.edges.iter().enumerate() {
                let (there, sign) = match (edge.from == here, edge.to == here) {
                    (true, false) => (edge.to, 1.0),
                    (false, true) => (edge.from, -1.0),
                    _ => continue,
                };
                if twists[there].is_some() {
                    continue;
                }
                twists[there] = twists[here].clone().map(|mut twist| {
                    add_columns(&mut twist, &edge.columns, sign);
                    twist
                });
                in_tree[index] = true;
                reached.push(there);
            }
        }
        let twists: Vec<DMatrix<f64>> = twists
            .into_iter()
            .enumerate()
            .map(|(node, twist)| twist.ok_or_else(|| self.places[node - 1]))
            .collect::<Result<_, _>>()?;
        let closing: Vec<&Edge> = self
            .edges
            .iter()
            .zip(&in_tree)
            .filter_map(|(edge, tree)| (!tree).then_some(edge))
            .collect();
        let mut closure = DMatrix::zeros(6 * closing.len(), columns);
        for (index, edge) in closing.iter().enumerate() {
            let mut gap = &twists[edge.from] - &twists[edge.to];
            add_columns(&mut gap, &edge.columns, 1.0);
            closure.rows_mut(6 * index, 6).copy_from(&gap);
        }
        Ok((twists, closure))
    }
}

fn add_columns(twist: &mut DMatrix<f64>, columns: &[(usize, Vector6<f64>)], sign: f64) {
    for (index, column) in columns {
        let mut target = twist.column_mut(*index);
        target += column * sign;
    }
}

/// Walks the linkage at a configuration.
pub(super) fn chains(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    model: VirtualJointModel,
    bar: &dyn Fn(&BarStiffness) -> BarStiffness,
) -> Result<Chains, VirtualJointError> {
    let places = linkage.bodies.iter().enumerate().skip(1);
    let mut graph = Graph {
        places: places
            .flat_map(|(body, b)| (0..b.stations.len()).map(move |station| Place { body, station }))
            .collect(),
        edges: Vec::new(),
    };
    let spring_count = add_arcs(&mut graph, design, linkage, configuration, model, bar)?;
    let spring_scale = scale_springs(&mut graph.edges);
    let passive_count = add_joints(&mut graph, linkage, configuration, spring_count);
    let columns = spring_count + passive_count + 2;
    let (twists, closure) = graph
        .walk(columns)
        .map_err(|place| VirtualJointError::NotTied {
            body: linkage.bodies[place.body].name.clone(),
            station: place.station + 1,
        })?;
    let mut tool = twists[graph.node(Place {
        body: linkage.tool.body,
        station: linkage.tool.station,
    })]
    .clone();
    if let Some(follower) = &linkage.follower {
        add_follower(&mut tool, &twists, &graph, linkage, configuration, follower);
    }
    Ok(Chains {
        spring_count,
        passive_count,
        spring_scale,
        closure,
        tool,
    })
}

/// Adds an edge with springs for every arc of a moving body; returns the number of springs.
fn add_arcs(
    graph: &mut Graph,
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    model: VirtualJointModel,
    bar: &dyn Fn(&BarStiffness) -> BarStiffness,
) -> Result<usize, VirtualJointError> {
    let mut count = 0;
    for (index, body) in linkage.bodies.iter().enumerate().skip(1) {
        let section = body.section(design);
        let bar = bar(&BarStiffness::new(
            section,
            &design.material,
            design.joint_radius,
        ));
        for arc in &body.arcs {
            let ends = [arc.from, arc.to].map(|station| Place {
                body: index,
                station,
            });
            let bosses = ends.map(|place| linkage.joints_at(design, place).boss_diameter);
            let [start, end] = ends.map(|place| linkage.direction(place, configuration));
            let placed = PlacedArc {
                start,
                tangent: tangent_towards(&start, &end).unwrap_or_else(|| any_perpendicular(&start)),
                radius: design.joint_radius,
                angle: arc_between(&start, &end),
                zones: bosses.map(|boss| 0.5 * boss / design.joint_radius),
            };
            if placed.free_angle() < 1e-9 {
                return Err(VirtualJointError::Elasticity(
                    ElasticityError::NoFlexibleLength {
                        body: body.name.clone(),
                        boss: bosses[0].max(bosses[1]),
                        length: placed.radius * placed.angle,
                    },
                ));
            }
            let springs =
                placed
                    .springs(model, &bar)
                    .ok_or_else(|| VirtualJointError::ArcCompliance {
                        body: body.name.clone(),
                        angle: placed.free_angle(),
                    })?;
            let columns = springs
                .column_iter()
                .enumerate()
                .map(|(i, column)| (count + i, Vector6::from_fn(|row, _| column[row])))
                .collect();
            graph.edges.push(Edge {
                from: graph.node(ends[0]),
                to: graph.node(ends[1]),
                columns,
            });
            count += springs.ncols();
        }
    }
    Ok(count)
}

/// Divides all spring columns by the longest, so that they stand beside joint
/// angles in one rank decision; returns its length.
fn scale_springs(edges: &mut [Edge]) -> f64 {
    let longest = edges
        .iter()
        .flat_map(|edge| edge.columns.iter().map(|(_, column)| column.norm()))
        .fold(0.0, f64::max);
    if longest > 0.0 {
        for (_, column) in edges.iter_mut().flat_map(|edge| &mut edge.columns) {
            *column /= longest;
        }
    }
    longest
}

/// Adds an edge for every joint; returns the number of passive columns. The
/// two driven joints take the last two columns, a follower's joint none.
fn add_joints(
    graph: &mut Graph,
    linkage: &Linkage,
    configuration: &Configuration,
    spring_count: usize,
) -> usize {
    let mut passive: Vec<(usize, Vector6<f64>)> = Vec::new();
    let mut driven = Vec::new();
    for (index, joint) in linkage.joints.iter().enumerate() {
        let axis = linkage.joint_axis(joint, configuration);
        let turn = six(&Vector3::zeros(), &axis);
        let follows = linkage.follower.is_some_and(|f| f.joint == index);
        if let Some(drive) = linkage.driven.iter().position(|d| *d == index) {
            driven.push((index, drive, turn));
        } else if !follows {
            passive.push((index, turn));
        }
        passive.extend(
            released_twists(joint, &axis)
                .into_iter()
                .map(|twist| (index, twist)),
        );
    }
    let count = passive.len();
    for (index, joint) in linkage.joints.iter().enumerate() {
        let own = passive.iter().enumerate().filter(|(_, p)| p.0 == index);
        let mut columns: Vec<(usize, Vector6<f64>)> =
            own.map(|(k, p)| (spring_count + k, p.1)).collect();
        let drives = driven.iter().filter(|d| d.0 == index);
        columns.extend(drives.map(|d| (spring_count + count + d.1, d.2)));
        graph.edges.push(Edge {
            from: graph.node(joint.first),
            to: graph.node(joint.second),
            columns,
        });
    }
    count
}

/// Twists of the directions in which a joint carries no load besides its own rotation.
fn released_twists(joint: &Joint, axis: &Vector3<f64>) -> Vec<Vector6<f64>> {
    let mut twists = Vec::new();
    if joint.release.axial {
        twists.push(six(axis, &Vector3::zeros()));
    }
    if joint.release.tilt {
        let across = any_perpendicular(axis);
        twists.push(hinge(axis, &across));
        twists.push(hinge(axis, &axis.cross(&across)));
    }
    twists
}

/// Adds the follower's own rotation: it hangs on the first of its two bodies and
/// turns from it by half of what the second turns, about the shared axis.
fn add_follower(
    tool: &mut DMatrix<f64>,
    twists: &[DMatrix<f64>],
    graph: &Graph,
    linkage: &Linkage,
    configuration: &Configuration,
    follower: &Follower,
) {
    let joint = &linkage.joints[follower.joint];
    let axis = linkage.joint_axis(joint, configuration);
    let on_axis = places_on_axis(linkage, joint.first);
    let spin = |body: usize| {
        let place = on_axis.iter().find(|place| place.body == body);
        let twist = &twists[graph.node(*place.unwrap_or(&joint.first))];
        axis.transpose() * twist.rows(3, 3)
    };
    let [first, second] = follower.between.map(spin);
    let half = (second - first) * 0.5;
    let mut rotation = tool.rows_mut(3, 3);
    rotation += axis * half;
}

/// All places that joints tie to a place, itself included.
fn places_on_axis(linkage: &Linkage, place: Place) -> Vec<Place> {
    let mut found = vec![place];
    let mut next = 0;
    while next < found.len() {
        let here = found[next];
        next += 1;
        for joint in &linkage.joints {
            for (a, b) in [(joint.first, joint.second), (joint.second, joint.first)] {
                if a == here && !found.contains(&b) {
                    found.push(b);
                }
            }
        }
    }
    found
}
