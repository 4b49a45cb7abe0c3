//! The dancer's skeleton: a pose in a choreographer's numbers, turned into joint positions by two-bone reach.

use crate::math::{V3, cos, lerp, rad, sin, v3};

pub const THIGH: f32 = 0.435;
pub const SHIN: f32 = 0.415;
pub const UPPER_ARM: f32 = 0.285;
pub const FOREARM: f32 = 0.245;
/// Height of the pelvis of the standing dancer, metres.
pub const STANDING: f32 = 0.935;

/// Arrays are left, right. Reaches are fractions of the limb: x outwards, y up, z forwards.
#[derive(Clone, Copy, Debug)]
pub struct Pose {
    /// Added to where the move carries the pelvis.
    pub offset: V3,
    /// Degrees; 0 faces the camera, 90 the right edge of the picture.
    pub yaw: f32,
    /// Pelvis: forward tilt, sideways tilt (degrees).
    pub tilt: [f32; 2],
    /// Chest against pelvis: forward bend, bend to the right, turn (degrees).
    pub spine: V3,
    /// Head against chest, likewise.
    pub head: V3,
    pub hands: [V3; 2],
    pub elbows: [V3; 2],
    pub feet: [V3; 2],
    pub knees: [V3; 2],
    /// 1 pointed along the shin, 0 flat on the floor.
    pub point: [f32; 2],
}

impl Pose {
    pub fn lerp(&self, o: &Pose, t: f32) -> Pose {
        let both = |a: [V3; 2], b: [V3; 2]| [a[0].lerp(b[0], t), a[1].lerp(b[1], t)];
        let pair = |a: [f32; 2], b: [f32; 2]| [lerp(a[0], b[0], t), lerp(a[1], b[1], t)];
        Pose {
            offset: self.offset.lerp(o.offset, t),
            yaw: lerp(self.yaw, o.yaw, t),
            tilt: pair(self.tilt, o.tilt),
            spine: self.spine.lerp(o.spine, t),
            head: self.head.lerp(o.head, t),
            hands: both(self.hands, o.hands),
            elbows: both(self.elbows, o.elbows),
            feet: both(self.feet, o.feet),
            knees: both(self.knees, o.knees),
            point: pair(self.point, o.point),
        }
    }
}

/// Right, up, forward of a body part.
#[derive(Clone, Copy, Debug)]
pub struct Axes {
    pub r: V3,
    pub u: V3,
    pub f: V3,
}

impl Axes {
    fn facing(yaw: f32) -> Axes {
        let f = v3(sin(rad(yaw)), 0.0, -cos(rad(yaw)));
        Axes { r: V3::UP.cross(f), u: V3::UP, f }
    }
    /// Bend forward about the right axis, lean right about the forward axis, turn about the up axis.
    fn bent(self, forward: f32, right: f32, turn: f32) -> Axes {
        let rot =
            |a: V3, b: V3, deg: f32| (a * cos(rad(deg)) + b * sin(rad(deg)), b * cos(rad(deg)) - a * sin(rad(deg)));
        let (u, f) = rot(self.u, self.f, forward);
        let (u, r) = rot(u, self.r, right);
        let (f, r) = rot(f, r, turn);
        Axes { r, u, f }
    }
    pub fn at(&self, p: V3) -> V3 {
        self.r * p.x + self.u * p.y + self.f * p.z
    }
}

/// Joint positions in metres, left then right, and the frames of the three trunk parts.
#[derive(Clone, Copy, Debug)]
pub struct Skeleton {
    pub pelvis: V3,
    pub pelvis_axes: Axes,
    pub waist: V3,
    pub chest: V3,
    pub chest_axes: Axes,
    pub neck: V3,
    pub head: V3,
    pub head_axes: Axes,
    pub shoulders: [V3; 2],
    pub elbows: [V3; 2],
    pub wrists: [V3; 2],
    pub fingertips: [V3; 2],
    pub hips: [V3; 2],
    pub knees: [V3; 2],
    pub ankles: [V3; 2],
    pub toes: [V3; 2],
}

/// Middle joint and end of a two-bone limb that reaches for `target`, bending towards `pole`.
fn reach(root: V3, target: V3, l1: f32, l2: f32, pole: V3) -> (V3, V3) {
    let to = target - root;
    let d = to.len().clamp((l1 - l2).abs() + 0.02, (l1 + l2) * 0.9985);
    let dir = to.unit();
    let side = (pole - dir * pole.dot(dir)).unit();
    let along = (l1 * l1 - l2 * l2 + d * d) / (2.0 * d);
    let out = (l1 * l1 - along * along).max(0.0).sqrt();
    (root + dir * along + side * out, root + dir * d)
}

impl Skeleton {
    pub fn new(pose: &Pose, carried: V3) -> Skeleton {
        let ground = Axes::facing(pose.yaw);
        let pelvis = carried + pose.offset;
        let pa = ground.bent(pose.tilt[0], pose.tilt[1], 0.0);
        let waist = pelvis + pa.u * 0.125;
        let half = pa.bent(pose.spine.x * 0.5, pose.spine.y * 0.5, pose.spine.z * 0.5);
        let ca = pa.bent(pose.spine.x, pose.spine.y, pose.spine.z);
        let chest = waist + half.u * 0.09 + ca.u * 0.085;
        let neck = chest + ca.u * 0.185 - ca.f * 0.012;
        let ha = ca.bent(pose.head.x, pose.head.y, pose.head.z);
        let head = neck + ca.u * 0.045 + ha.u * 0.115 + ha.f * 0.018;
        let mut s = Skeleton {
            pelvis,
            pelvis_axes: pa,
            waist,
            chest,
            chest_axes: ca,
            neck,
            head,
            head_axes: ha,
            shoulders: [V3::ZERO; 2],
            elbows: [V3::ZERO; 2],
            wrists: [V3::ZERO; 2],
            fingertips: [V3::ZERO; 2],
            hips: [V3::ZERO; 2],
            knees: [V3::ZERO; 2],
            ankles: [V3::ZERO; 2],
            toes: [V3::ZERO; 2],
        };
        for i in 0..2 {
            let side = if i == 0 { -1.0 } else { 1.0 };
            let out = |a: &Axes, p: V3| a.at(v3(p.x * side, p.y, p.z));
            let arm = UPPER_ARM + FOREARM;
            let lift = pose.hands[i].y.max(0.0);
            let socket = v3(0.158 - 0.018 * lift, -0.045 + 0.05 * lift, 0.012 * pose.hands[i].z);
            s.shoulders[i] = neck + out(&ca, socket);
            let target = s.shoulders[i] + out(&ca, pose.hands[i]) * arm;
            let pole = out(&ca, pose.elbows[i]);
            (s.elbows[i], s.wrists[i]) = reach(s.shoulders[i], target, UPPER_ARM, FOREARM, pole);
            let fore = (s.wrists[i] - s.elbows[i]).unit();
            let upper = (s.elbows[i] - s.shoulders[i]).unit();
            let hand = (fore + (fore - upper) * 0.35 + out(&ca, pose.hands[i]).unit() * 0.15).unit();
            s.fingertips[i] = s.wrists[i] + hand * 0.165;
            let leg = THIGH + SHIN;
            s.hips[i] = pelvis + out(&pa, v3(0.088, -0.035, 0.0));
            let target = s.hips[i] + out(&ground, pose.feet[i]) * leg;
            let pole = out(&ground, pose.knees[i]);
            (s.knees[i], s.ankles[i]) = reach(s.hips[i], target, THIGH, SHIN, pole);
            let shin = (s.ankles[i] - s.knees[i]).unit();
            let ahead = (pole - shin * pole.dot(shin)).unit();
            let flat = v3(ahead.x, -0.42, ahead.z).unit();
            let pointed = (shin + ahead * 0.16).unit();
            let dir = flat.lerp(pointed, pose.point[i]).unit();
            s.toes[i] = s.ankles[i] + dir * lerp(0.165, 0.185, pose.point[i]);
        }
        s
    }
}
