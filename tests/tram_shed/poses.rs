//! The choreography: each move as a few poses in time and the path of the pelvis between take-off and landing.

use crate::figure::{Pose, STANDING, Skeleton};
use crate::math::{V3, lerp, smoothstep, v3};

/// A move in seconds around its high point (time 0).
pub struct Move {
    pub name: &'static str,
    pub keys: Vec<(f32, Pose)>,
    /// Where the pelvis is over the floor at time 0 (x, z) and how fast it travels (metres per second).
    pub place: V3,
    pub travel: V3,
    /// Height of the pelvis above standing at time 0; 0 for a move that stays on the floor.
    pub jump: f32,
    /// Seconds of standing still before the move, for the cloth to settle.
    pub settle: f32,
    /// How much chalk is thrown.
    pub chalk: f32,
}

const GRAVITY: f32 = 9.81;

impl Move {
    fn pose(&self, t: f32) -> Pose {
        let i = self.keys.partition_point(|k| k.0 <= t);
        if i == 0 {
            return self.keys[0].1;
        }
        let Some(next) = self.keys.get(i) else {
            return self.keys[i - 1].1;
        };
        let last = &self.keys[i - 1];
        let f = (t - last.0) / (next.0 - last.0);
        last.1.lerp(&next.1, lerp(f, smoothstep(0.0, 1.0, f), 0.6))
    }

    pub fn start(&self) -> f32 {
        self.keys[0].0
    }

    /// Time between take-off and the high point.
    pub fn rise(&self) -> f32 {
        (2.0 * self.jump / GRAVITY).sqrt()
    }

    pub fn skeleton(&self, t: f32) -> Skeleton {
        let fall = 0.5 * GRAVITY * t * t;
        let y = STANDING + (self.jump - fall).max(0.0);
        let p = v3(self.place.x + self.travel.x * t, y, self.place.z + self.travel.z * t);
        Skeleton::new(&self.pose(t), p)
    }
}

fn stand() -> Pose {
    Pose {
        offset: V3::ZERO,
        yaw: -18.0,
        tilt: [0.0, 0.0],
        spine: v3(-2.0, 0.0, 4.0),
        head: v3(4.0, 0.0, 10.0),
        hands: [v3(0.24, -0.95, 0.06), v3(0.22, -0.95, 0.10)],
        elbows: [v3(0.6, 0.0, -1.0), v3(0.6, 0.0, -1.0)],
        feet: [v3(0.06, -1.0, -0.02), v3(0.04, -0.98, 0.10)],
        knees: [v3(0.3, 0.0, 1.0), v3(0.3, 0.0, 1.0)],
        point: [0.0, 0.0],
    }
}

fn still(name: &'static str, pose: Pose) -> Move {
    Move { name, keys: vec![(0.0, pose)], place: V3::ZERO, travel: V3::ZERO, jump: 0.0, settle: 1.5, chalk: 0.12 }
}

/// Wind-up on the floor before a leap that faces `yaw`.
fn gather(yaw: f32) -> Pose {
    Pose {
        offset: v3(0.0, -0.16, 0.0),
        yaw,
        tilt: [12.0, 0.0],
        spine: v3(14.0, 0.0, 0.0),
        head: v3(-8.0, 0.0, 0.0),
        hands: [v3(0.35, -0.8, -0.35), v3(0.4, -0.8, -0.3)],
        elbows: [v3(0.8, 0.2, -0.8), v3(0.8, 0.2, -0.8)],
        feet: [v3(0.02, -0.80, 0.16), v3(0.02, -0.78, -0.28)],
        knees: [v3(0.15, 0.0, 1.0), v3(0.15, 0.0, 1.0)],
        point: [0.0, 0.4],
    }
}

fn leap(name: &'static str, keys: Vec<(f32, Pose)>, place: V3, travel: V3, jump: f32) -> Move {
    Move { name, keys, place, travel, jump, settle: 0.7, chalk: 1.0 }
}

pub fn arms_down() -> Move {
    still("standing, arms down", stand())
}

pub fn arms_low() -> Move {
    let mut p = stand();
    p.yaw = -24.0;
    p.hands = [v3(0.42, -0.80, 0.28), v3(0.40, -0.82, 0.25)];
    p.head = v3(8.0, 5.0, 16.0);
    still("standing, arms low", p)
}

pub fn arms_raised() -> Move {
    let mut p = stand();
    p.yaw = -30.0;
    p.spine = v3(-8.0, 0.0, 8.0);
    p.head = v3(-14.0, 4.0, 8.0);
    p.hands = [v3(0.22, 0.88, 0.24), v3(0.30, 0.84, 0.20)];
    p.elbows = [v3(1.0, 0.1, 0.1), v3(1.0, 0.1, 0.1)];
    p.feet = [v3(0.02, -1.0, 0.0), v3(0.02, -0.99, -0.07)];
    p.offset = v3(0.0, 0.055, 0.0);
    p.point = [0.55, 0.6];
    let mut low = p;
    low.hands = [v3(0.75, -0.35, 0.3), v3(0.75, -0.35, 0.3)];
    let mut m = still("arms raised", p);
    m.keys = vec![(-0.6, low), (0.0, p)];
    m.chalk = 0.5;
    m
}

/// On one leg, the other straight behind.
pub fn arabesque() -> Move {
    let mut p = stand();
    p.yaw = 78.0;
    p.tilt = [22.0, 0.0];
    p.spine = v3(-30.0, 0.0, -8.0);
    p.head = v3(-6.0, 0.0, -6.0);
    p.hands = [v3(0.42, 0.38, 0.82), v3(0.86, 0.10, -0.38)];
    p.elbows = [v3(0.6, -0.8, 0.0), v3(0.2, -0.8, -0.5)];
    p.feet = [v3(-0.09, -1.0, 0.02), v3(0.05, 0.12, -1.0)];
    p.knees = [v3(0.1, 0.0, 1.0), v3(0.6, -0.8, 0.0)];
    p.offset = v3(0.0, 0.07, 0.0);
    p.point = [0.62, 1.0];
    let mut q = p;
    q.tilt = [4.0, 0.0];
    q.spine = v3(-4.0, 0.0, 0.0);
    q.hands = [v3(0.4, -0.6, 0.3), v3(0.5, -0.6, -0.1)];
    q.feet = [v3(-0.04, -1.0, 0.02), v3(0.03, -0.93, -0.25)];
    q.offset = v3(0.0, 0.02, 0.0);
    let mut m = still("arabesque", p);
    m.keys = vec![(-0.7, q), (0.0, p)];
    m.place = v3(0.05, 0.0, 0.0);
    m.settle = 1.0;
    m.chalk = 0.7;
    m
}

/// Legs in a full split, travelling to the right.
pub fn grand_jete() -> Move {
    let yaw = 74.0;
    let mut top = gather(yaw);
    top.offset = V3::ZERO;
    top.tilt = [-2.0, 0.0];
    top.spine = v3(-16.0, -4.0, -10.0);
    top.head = v3(-14.0, 4.0, -12.0);
    top.hands = [v3(0.24, 0.24, 0.94), v3(0.95, 0.16, -0.22)];
    top.elbows = [v3(0.7, -0.6, 0.0), v3(0.1, -0.6, -0.6)];
    top.feet = [v3(0.06, 0.08, 1.0), v3(0.12, -0.02, -1.0)];
    top.knees = [v3(0.3, 1.0, 0.2), v3(0.8, -0.8, 0.0)];
    top.point = [1.0, 1.0];
    let mut up = top.lerp(&gather(yaw), 0.45);
    up.feet = [v3(0.03, -0.42, 0.62), v3(0.05, -0.95, -0.30)];
    up.point = [0.8, 1.0];
    let mut down = top;
    down.feet = [v3(0.05, -0.35, 0.90), v3(0.12, 0.08, -0.98)];
    down.hands = [v3(0.35, 0.10, 0.92), v3(0.97, 0.02, -0.2)];
    leap(
        "grand jeté",
        vec![(-0.75, gather(yaw)), (-0.34, gather(yaw)), (-0.2, up), (-0.07, top), (0.0, top), (0.3, down)],
        v3(0.0, 0.0, 0.0),
        v3(2.3, 0.0, -0.35),
        0.44,
    )
}

/// Front knee folded, back leg long, arms wide.
pub fn stag() -> Move {
    let yaw = -72.0;
    let mut top = gather(yaw);
    top.offset = V3::ZERO;
    top.tilt = [-4.0, 0.0];
    top.spine = v3(-20.0, 6.0, 10.0);
    top.head = v3(-20.0, 0.0, 14.0);
    top.hands = [v3(0.62, 0.72, 0.15), v3(0.78, 0.42, -0.38)];
    top.elbows = [v3(0.4, -0.8, -0.3), v3(0.2, -0.8, -0.5)];
    top.feet = [v3(0.10, -0.10, -0.98), v3(0.02, -0.36, 0.20)];
    top.knees = [v3(0.7, -0.7, 0.0), v3(0.25, 0.5, 1.0)];
    top.point = [1.0, 1.0];
    let mut up = top.lerp(&gather(yaw), 0.5);
    up.feet = [v3(0.05, -0.93, -0.30), v3(0.02, -0.55, 0.30)];
    let mut down = top;
    down.feet = [v3(0.10, -0.22, -0.96), v3(0.02, -0.60, 0.30)];
    leap(
        "stag leap",
        vec![(-0.75, gather(yaw)), (-0.33, gather(yaw)), (-0.2, up), (-0.07, top), (0.0, top), (0.3, down)],
        v3(0.1, 0.0, 0.1),
        v3(-1.9, 0.0, -0.3),
        0.42,
    )
}

/// Upright in the air, chest open, both legs drawn back, arms in a V.
pub fn arched() -> Move {
    let yaw = 52.0;
    let mut top = gather(yaw);
    top.offset = V3::ZERO;
    top.tilt = [16.0, 0.0];
    top.spine = v3(-46.0, 0.0, -8.0);
    top.head = v3(-30.0, 0.0, -6.0);
    top.hands = [v3(0.56, 0.80, -0.05), v3(0.60, 0.78, -0.15)];
    top.elbows = [v3(0.5, -0.2, -0.8), v3(0.5, -0.2, -0.8)];
    top.feet = [v3(0.06, -0.58, -0.60), v3(0.10, -0.40, -0.52)];
    top.knees = [v3(0.25, -0.6, 0.7), v3(0.4, -0.5, 0.6)];
    top.point = [1.0, 1.0];
    let mut up = top.lerp(&gather(yaw), 0.45);
    up.feet = [v3(0.04, -0.96, -0.2), v3(0.05, -0.92, -0.25)];
    let mut down = top;
    down.feet = [v3(0.06, -0.80, -0.40), v3(0.10, -0.72, -0.36)];
    leap(
        "arched leap",
        vec![(-0.75, gather(yaw)), (-0.34, gather(yaw)), (-0.2, up), (-0.07, top), (0.0, top), (0.3, down)],
        v3(0.0, 0.0, 0.0),
        v3(1.0, 0.0, -0.4),
        0.44,
    )
}

/// Turning on one leg, the other foot at the knee, arms rounded; the skirt opens like a plate.
pub fn turn() -> Move {
    let at = |yaw: f32| {
        let mut p = stand();
        p.yaw = yaw;
        p.offset = v3(0.0, 0.075, 0.0);
        p.tilt = [-2.0, -2.0];
        p.spine = v3(-6.0, -4.0, 6.0);
        p.head = v3(-4.0, 0.0, 16.0);
        p.hands = [v3(0.55, 0.02, 0.62), v3(0.24, 0.86, 0.22)];
        p.elbows = [v3(1.0, -0.2, 0.2), v3(1.0, 0.1, 0.1)];
        p.feet = [v3(-0.09, -1.0, 0.0), v3(0.02, -0.56, 0.10)];
        p.knees = [v3(0.1, 0.0, 1.0), v3(0.9, 0.1, 0.6)];
        p.point = [0.66, 1.0];
        p
    };
    let mut m = still("turn", at(-30.0));
    m.keys = vec![(-0.9, at(-580.0)), (-0.3, at(-235.0)), (0.3, at(176.0))];
    m.settle = 0.7;
    m.chalk = 0.9;
    m
}

/// Turning in the air with the legs drawn up, arms overhead.
pub fn tour() -> Move {
    let at = |yaw: f32| {
        let mut p = gather(yaw);
        p.offset = V3::ZERO;
        p.tilt = [4.0, 4.0];
        p.spine = v3(-12.0, 4.0, 6.0);
        p.head = v3(-6.0, 0.0, 18.0);
        p.hands = [v3(0.80, 0.50, 0.14), v3(0.70, 0.62, 0.22)];
        p.elbows = [v3(0.3, -0.9, -0.2), v3(0.3, -0.9, -0.2)];
        p.feet = [v3(0.02, -0.93, -0.22), v3(0.10, -0.50, 0.16)];
        p.knees = [v3(0.2, 0.0, 1.0), v3(0.7, 0.5, 0.9)];
        p.point = [1.0, 1.0];
        p
    };
    let keys =
        vec![(-0.75, gather(-200.0)), (-0.36, gather(-170.0)), (-0.18, at(-100.0)), (0.0, at(-28.0)), (0.3, at(70.0))];
    leap("turning leap", keys, v3(-0.05, 0.0, 0.0), v3(0.5, 0.0, -0.2), 0.40)
}
