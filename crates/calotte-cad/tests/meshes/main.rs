//! Meshes of solids: closed, oriented, and as large as the solids they stand for.

mod bars;
#[path = "../../../calotte/tests/common/mod.rs"]
mod common;
mod parts;
mod random;
mod reference;
mod refusals;
mod rounds;

use calotte_cad::Mesh;

/// Vertices − edges + triangles of a closed mesh: 2 for each shell, less 2 for each
/// handle of a shell.
fn euler_characteristic(mesh: &Mesh) -> i64 {
    let edges = mesh.triangles.len() * 3 / 2;
    mesh.vertices.len() as i64 - edges as i64 + mesh.triangles.len() as i64
}

/// Number of shells: sets of triangles joined by common vertices.
fn shells(mesh: &Mesh) -> usize {
    let mut shell: Vec<usize> = (0..mesh.vertices.len()).collect();
    fn root(shell: &[usize], mut vertex: usize) -> usize {
        while shell[vertex] != vertex {
            vertex = shell[vertex];
        }
        vertex
    }
    for [a, b, c] in &mesh.triangles {
        let [a, b, c] = [a, b, c].map(|vertex| root(&shell, *vertex as usize));
        let least = a.min(b).min(c);
        for vertex in [a, b, c] {
            shell[vertex] = least;
        }
    }
    (0..shell.len())
        .filter(|vertex| shell[*vertex] == *vertex)
        .count()
}
