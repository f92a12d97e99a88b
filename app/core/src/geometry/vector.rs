//! Arithmetic of three-vectors, in a fixed order of operations so that every machine gets the same bits.
//!
//! What this does not do: fused multiply-add or any function outside + − × ÷ and the square root.

/// A vector in space.
pub type Vector = [f64; 3];

/// `a + b`.
#[must_use]
pub fn add(a: Vector, b: Vector) -> Vector {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// `a − b`.
#[must_use]
pub fn sub(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// `factor · a`.
#[must_use]
pub fn scale(a: Vector, factor: f64) -> Vector {
    [a[0] * factor, a[1] * factor, a[2] * factor]
}

/// The scalar product.
#[must_use]
pub fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector product.
#[must_use]
pub fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The length.
#[must_use]
pub fn norm(a: Vector) -> f64 {
    dot(a, a).sqrt()
}

/// The direction of `a`, or nothing where it has none.
#[must_use]
pub fn unit(a: Vector) -> Option<Vector> {
    let length = norm(a);
    (length > 0.0 && length.is_finite()).then(|| scale(a, 1.0 / length))
}

/// A unit vector square to the unit vector `w`: `w` crossed with the axis that it is farthest from.
#[must_use]
pub fn square_to(w: Vector) -> Vector {
    let [x, y, z] = w.map(f64::abs);
    let axis = if x <= y && x <= z {
        [1.0, 0.0, 0.0]
    } else if y <= z {
        [0.0, 1.0, 0.0]
    } else {
        [0.0, 0.0, 1.0]
    };
    unit(cross(axis, w)).unwrap_or([1.0, 0.0, 0.0])
}

/// The weights of `target` in the basis `[a, b, c]`, by Cramer's rule, or nothing where it is no basis.
#[must_use]
pub fn weights(basis: [Vector; 3], target: Vector) -> Option<Vector> {
    let [a, b, c] = basis;
    let bc = cross(b, c);
    let volume = dot(a, bc);
    let found =
        [dot(target, bc) / volume, dot(target, cross(c, a)) / volume, dot(target, cross(a, b)) / volume];
    found.iter().all(|w| w.is_finite()).then_some(found)
}
