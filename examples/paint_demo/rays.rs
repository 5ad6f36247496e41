//! Which face a ray meets first: a tree of boxes over the set's triangles.

use crate::mesh::{Mesh, Triangle};
use glam::DVec3;

/// A tree of bounding boxes.
pub(crate) struct Rays<'a> {
    mesh: &'a Mesh,
    order: Vec<u32>,
    nodes: Vec<Node>,
}

struct Node {
    low: DVec3,
    high: DVec3,
    /// For a leaf the range of `order`; for a branch its second child (the first one follows it).
    start: u32,
    count: u32,
}

const LEAF: usize = 4;

impl<'a> Rays<'a> {
    pub(crate) fn new(mesh: &'a Mesh) -> Self {
        let mut tree =
            Self { mesh, order: (0..mesh.triangles.len() as u32).collect(), nodes: vec![] };
        tree.split(0, mesh.triangles.len());
        tree
    }

    fn split(&mut self, start: usize, end: usize) {
        let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        let (mut centre_low, mut centre_high) = (low, high);
        for &i in &self.order[start..end] {
            let t = &self.mesh.triangles[i as usize];
            for corner in [t.corner, t.corner + t.edges[0], t.corner + t.edges[1]] {
                low = low.min(corner);
                high = high.max(corner);
            }
            centre_low = centre_low.min(centre(t));
            centre_high = centre_high.max(centre(t));
        }
        let here = self.nodes.len();
        self.nodes.push(Node { low, high, start: start as u32, count: (end - start) as u32 });
        if end - start <= LEAF {
            return;
        }
        let spread = centre_high - centre_low;
        let axis = (0..3).max_by(|&a, &b| spread[a].total_cmp(&spread[b])).unwrap_or(0);
        let triangles = &self.mesh.triangles;
        self.order[start..end].sort_by(|&a, &b| {
            centre(&triangles[a as usize])[axis].total_cmp(&centre(&triangles[b as usize])[axis])
        });
        let middle = start.midpoint(end);
        self.split(start, middle);
        let second = self.nodes.len();
        self.split(middle, end);
        self.nodes[here].start = second as u32;
        self.nodes[here].count = 0;
    }

    /// The nearest triangle along a ray, and its distance.
    pub(crate) fn first(&self, from: DVec3, ray: DVec3) -> Option<(&'a Triangle, f64)> {
        let mut best = None;
        self.walk(from, ray, f64::INFINITY, |triangle, distance| {
            best = Some((triangle, distance));
            distance
        });
        best
    }

    /// Whether anything stands within `reach` metres along a ray.
    pub(crate) fn blocked(&self, from: DVec3, ray: DVec3, reach: f64) -> bool {
        let mut hit = false;
        self.walk(from, ray, reach, |_, _| {
            hit = true;
            0.0
        });
        hit
    }

    /// Visits hits in no order; `meet` returns how far the ray is still of interest.
    fn walk(
        &self,
        from: DVec3,
        ray: DVec3,
        mut reach: f64,
        mut meet: impl FnMut(&'a Triangle, f64) -> f64,
    ) {
        let inverse = ray.recip();
        let mut stack = [0u32; 64];
        let mut depth = 1;
        while depth > 0 {
            depth -= 1;
            let index = stack[depth] as usize;
            let node = &self.nodes[index];
            if !node.crossed(from, inverse, reach) {
                continue;
            }
            if node.count == 0 {
                stack[depth] = node.start;
                stack[depth + 1] = index as u32 + 1;
                depth += 2;
                continue;
            }
            let leaf = node.start as usize..(node.start + node.count) as usize;
            for &i in &self.order[leaf] {
                let triangle = &self.mesh.triangles[i as usize];
                if let Some(distance) = meeting(triangle, from, ray).filter(|&d| d < reach) {
                    reach = meet(triangle, distance);
                }
            }
        }
    }
}

impl Node {
    fn crossed(&self, from: DVec3, inverse: DVec3, reach: f64) -> bool {
        let (a, b) = ((self.low - from) * inverse, (self.high - from) * inverse);
        let enter = a.min(b).max_element().max(0.0);
        let leave = a.max(b).min_element().min(reach);
        enter <= leave
    }
}

fn centre(t: &Triangle) -> DVec3 {
    t.corner + (t.edges[0] + t.edges[1]) / 3.0
}

/// Distance at which a ray crosses a triangle (Möller and Trumbore 1997).
fn meeting(t: &Triangle, from: DVec3, ray: DVec3) -> Option<f64> {
    let p = ray.cross(t.edges[1]);
    let scale = t.edges[0].dot(p);
    if scale.abs() < 1e-12 {
        return None;
    }
    let to = from - t.corner;
    let u = to.dot(p) / scale;
    let q = to.cross(t.edges[0]);
    let v = ray.dot(q) / scale;
    if u < 0.0 || v < 0.0 || u + v > 1.0 {
        return None;
    }
    let distance = t.edges[1].dot(q) / scale;
    (distance > 1e-6).then_some(distance)
}
