//! Seen from the side, where does the ground lie under two rollers, and what does moving the front
//! one along its slot do to the height of the edge? Exact, for rollers of any two sizes.
//! Deliberately absent: threads and turns; see `adjuster`.
//!
//! The unit stands still and the ground turns about it. x runs forward and y up, along and across
//! the ground as it lies now. The rear roller's centre is the origin. With r and R the radii of the
//! rear and front rollers, L the level distance of their centres, (a, H - r) the edge and psi the
//! turn of the ground (nose down is positive), the ground's normal is (-sin psi, cos psi), and
//!   height of the edge  H' = r + (H - r) cos psi - a sin psi,
//!   travel of the roller  s = (L sin psi + (R - r)(1 - cos psi)) / cos(psi + slot),
//! which is the condition that both rollers touch the ground. Own geometry.

/// The unit as it stands, lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideView {
    pub front_radius: f64,
    pub rear_radius: f64,
    /// Level distance of the roller centres.
    pub centre_distance: f64,
    /// Level distance from the rear roller's centre forward to the edge.
    pub edge_ahead: f64,
    pub edge_height: f64,
    /// Lean of the slot from upright, radians, positive when its top leans forward.
    pub slot_angle: f64,
}

/// What moving the front roller does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// Along the slot, mm, positive up into the unit.
    pub travel: f64,
    pub edge_height: f64,
    /// Turn of the unit against the ground, radians, positive nose down.
    pub attitude_change: f64,
}

impl SideView {
    /// The rollers do not cut into each other.
    pub fn rollers_are_apart(&self) -> bool {
        let level = self.centre_distance;
        level.hypot(self.front_radius - self.rear_radius) >= self.front_radius + self.rear_radius
    }

    /// The edge lies outside both rollers.
    pub fn edge_is_clear(&self) -> bool {
        let from_front = self.edge_ahead - self.centre_distance;
        let clear = |ahead: f64, radius: f64| ahead.hypot(self.edge_height - radius) > radius;
        clear(self.edge_ahead, self.rear_radius) && clear(from_front, self.front_radius)
    }

    /// Fall of the edge for a small travel of the roller up its slot, mm for each mm.
    pub fn fall_per_travel(&self) -> f64 {
        self.edge_ahead * self.slot_angle.cos() / self.centre_distance
    }

    /// The move that brings the edge to a height; `None` when no travel of the roller does.
    pub fn to_height(&self, edge_height: f64) -> Option<Moved> {
        let above_centre = self.edge_height - self.rear_radius;
        let reach = self.edge_ahead.hypot(above_centre);
        let sine = (edge_height - self.rear_radius) / reach;
        if sine.abs() > 1.0 {
            return None;
        }
        let attitude_change = above_centre.atan2(self.edge_ahead) - sine.asin();
        let along_slot = (attitude_change + self.slot_angle).cos();
        // With the slot lying along the ground, travel no longer moves the unit.
        if along_slot < 1e-6 {
            return None;
        }
        let radii = self.front_radius - self.rear_radius;
        let (sine, versine) = (attitude_change.sin(), 1.0 - attitude_change.cos());
        let travel = (self.centre_distance * sine + radii * versine) / along_slot;
        Some(Moved { travel, edge_height, attitude_change })
    }

    /// Where a travel of the roller takes the edge; `None` when the rollers would no longer stand
    /// one before the other, or the edge would meet the ground.
    pub fn by_travel(&self, travel: f64) -> Option<Moved> {
        let radii = self.front_radius - self.rear_radius;
        let ahead = self.centre_distance + travel * self.slot_angle.sin();
        let up = radii + travel * self.slot_angle.cos();
        let apart = ahead.hypot(up);
        if ahead <= 0.0 || radii.abs() > apart {
            return None;
        }
        let attitude_change = up.atan2(ahead) - (radii / apart).asin();
        let above_centre = self.edge_height - self.rear_radius;
        let (sine, cosine) = attitude_change.sin_cos();
        let edge_height = self.rear_radius + above_centre * cosine - self.edge_ahead * sine;
        (edge_height > 0.0).then_some(Moved { travel, edge_height, attitude_change })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: SideView = SideView {
        front_radius: 31.75,
        rear_radius: 25.4,
        centre_distance: 190.0,
        edge_ahead: 95.0,
        edge_height: 4.0,
        slot_angle: 0.15,
    };

    #[test]
    fn there_and_back_agree() {
        for height in [1.0, 3.2, 4.0, 9.5, 25.0] {
            let there = UNIT.to_height(height).expect("within reach");
            let back = UNIT.by_travel(there.travel).expect("within reach");
            assert!((back.edge_height - height).abs() < 1e-11, "{height}");
            assert!((back.attitude_change - there.attitude_change).abs() < 1e-13, "{height}");
        }
    }

    /// The ground touches both rollers: checked from the definition, not from the formula.
    #[test]
    fn the_new_ground_touches_both_rollers() {
        let moved = UNIT.to_height(9.0).expect("within reach");
        let (sine, cosine) = moved.attitude_change.sin_cos();
        let front = (
            UNIT.centre_distance + moved.travel * UNIT.slot_angle.sin(),
            UNIT.front_radius - UNIT.rear_radius + moved.travel * UNIT.slot_angle.cos(),
        );
        // Height of a point above the ground: its part along the normal, plus the rear radius.
        let height = |(x, y): (f64, f64)| -x * sine + y * cosine + UNIT.rear_radius;
        assert!((height(front) - UNIT.front_radius).abs() < 1e-12);
        let edge = (UNIT.edge_ahead, UNIT.edge_height - UNIT.rear_radius);
        assert!((height(edge) - 9.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_moves_for_no_change() {
        let still = UNIT.to_height(UNIT.edge_height).expect("it is there already");
        assert!(still.travel.abs() < 1e-12 && still.attitude_change.abs() < 1e-14);
    }

    #[test]
    fn a_small_travel_follows_the_straight_line() {
        let moved = UNIT.by_travel(1e-4).expect("within reach");
        let fall = (UNIT.edge_height - moved.edge_height) / 1e-4;
        assert!((fall / UNIT.fall_per_travel() - 1.0).abs() < 1e-5, "{fall}");
    }

    #[test]
    fn what_cannot_be_reached_is_told() {
        assert_eq!(UNIT.to_height(500.0), None);
        assert_eq!(UNIT.by_travel(400.0), None);
        let flat = SideView { slot_angle: 89.0_f64.to_radians(), ..UNIT };
        assert_eq!(flat.to_height(1.0), None);
    }

    #[test]
    fn impossible_units_are_seen() {
        assert!(UNIT.rollers_are_apart() && UNIT.edge_is_clear());
        assert!(!SideView { centre_distance: 40.0, ..UNIT }.rollers_are_apart());
        assert!(!SideView { edge_ahead: 5.0, ..UNIT }.edge_is_clear());
    }
}
