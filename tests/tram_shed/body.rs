//! The dancer's flesh: a solid for every muscle that shows, placed around the skeleton.

use crate::figure::Skeleton;
use crate::math::v3;
use crate::mesh::Material;
use crate::solids::{Part, Shape};

/// All parts, in the order in which they are joined.
pub fn parts(s: &Skeleton) -> Vec<Part> {
    let mut out = Vec::new();
    let mut add = |shape, blend, material, tone| out.push(Part { shape, blend, material, tone });
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let (pa, ca, ha) = (s.pelvis_axes, s.chest_axes, s.head_axes);
    let bodice = Material::Bodice;
    let skin = Material::Skin;
    let egg = |c, axes, r| Shape::Ellipsoid { c, axes, r };
    add(egg(s.pelvis, pa, v3(0.150, 0.115, 0.104)), 0.0, bodice, 0.0);
    for x in [-1.0, 1.0] {
        let c = s.pelvis + pa.at(v3(0.068 * x, -0.06, -0.046));
        add(cone(c, c + pa.u * 0.03, 0.082, 0.07), 0.05, bodice, 0.0);
    }
    add(egg(s.waist + pa.u * 0.02, pa, v3(0.112, 0.13, 0.085)), 0.06, bodice, 0.0);
    add(egg(s.chest, ca, v3(0.130, 0.158, 0.098)), 0.06, bodice, 0.0);
    for x in [-1.0, 1.0] {
        let c = s.chest + ca.at(v3(0.06 * x, 0.025, 0.066));
        add(cone(c, c + ca.u * 0.015, 0.050, 0.044), 0.035, bodice, 0.0);
    }
    let girdle = s.neck - ca.u * 0.055;
    let collar = [s.shoulders[0].lerp(girdle, 0.2), s.shoulders[1].lerp(girdle, 0.2)];
    add(cone(collar[0], girdle, 0.044, 0.056), 0.05, skin, 0.0);
    add(cone(girdle, collar[1], 0.056, 0.044), 0.05, skin, 0.0);
    let jaw = s.head + ha.at(v3(0.0, -0.07, 0.025));
    let nape = s.head + ha.at(v3(0.0, -0.055, -0.025));
    add(cone(s.neck - ca.u * 0.02, nape, 0.051, 0.045), 0.035, skin, 0.0);
    for i in 0..2 {
        add(cone(s.neck + ca.u * 0.03, s.shoulders[i].lerp(s.neck, 0.25), 0.036, 0.034), 0.04, skin, 0.0);
    }
    // Head: skull, face, jaw, nose; the hair is a cap with a bun.
    add(egg(s.head + ha.at(v3(0.0, 0.018, -0.012)), ha, v3(0.074, 0.090, 0.092)), 0.02, skin, 0.0);
    add(
        cone(s.head + ha.at(v3(0.0, -0.02, 0.032)), jaw + ha.at(v3(0.0, -0.018, 0.022)), 0.055, 0.027),
        0.03,
        skin,
        0.0,
    );
    add(
        cone(s.head + ha.at(v3(0.0, 0.0, 0.083)), s.head + ha.at(v3(0.0, -0.028, 0.098)), 0.009, 0.013),
        0.014,
        skin,
        0.0,
    );
    for x in [-1.0, 1.0] {
        let c = s.head + ha.at(v3(0.072 * x, -0.012, -0.005));
        add(egg(c, ha, v3(0.010, 0.026, 0.017)), 0.008, skin, 0.0);
    }
    add(egg(s.head + ha.at(v3(0.0, 0.034, -0.022)), ha, v3(0.080, 0.086, 0.092)), 0.004, Material::Hair, 0.0);
    add(egg(s.head + ha.at(v3(0.0, -0.012, -0.046)), ha, v3(0.066, 0.066, 0.062)), 0.02, Material::Hair, 0.0);
    let bun = s.head + ha.at(v3(0.0, 0.085, -0.095));
    add(egg(bun, ha, v3(0.043, 0.040, 0.038)), 0.012, Material::Hair, 0.0);
    for i in 0..2 {
        arm(&mut add, s, i);
        leg(&mut add, s, i);
    }
    out
}

fn arm(add: &mut impl FnMut(Shape, f32, Material, f32), s: &Skeleton, i: usize) {
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let skin = Material::Skin;
    let (sh, el, wr, tip) = (s.shoulders[i], s.elbows[i], s.wrists[i], s.fingertips[i]);
    add(cone(sh, sh.lerp(el, 0.35), 0.050, 0.043), 0.035, skin, 0.0);
    add(cone(sh.lerp(el, 0.2), el, 0.042, 0.032), 0.02, skin, 0.0);
    add(cone(el, el.lerp(wr, 0.35), 0.033, 0.036), 0.015, skin, 0.0);
    add(cone(el.lerp(wr, 0.3), wr, 0.036, 0.0225), 0.015, skin, 0.0);
    // The hand: a flat palm, four fingers slightly fanned, a thumb.
    let dir = (tip - wr).unit();
    let body = (sh - s.pelvis).unit();
    let flat = (body - dir * body.dot(dir)).unit();
    let across = dir.cross(flat).unit();
    let knuckles = wr + dir * 0.075;
    for (k, (spread, len)) in [(-1.5, 0.070), (-0.5, 0.082), (0.5, 0.078), (1.5, 0.060)].into_iter().enumerate() {
        let base = knuckles + across * (spread * 0.0155);
        add(cone(wr.lerp(base, 0.2), base, 0.0165, 0.0115), 0.010, skin, 0.0);
        let curl = if k == 1 || k == 2 { 0.010 } else { -0.004 };
        let mid = base + dir * (len * 0.5) + across * (spread * 0.004) + flat * curl;
        add(cone(base, mid, 0.0100, 0.0088), 0.004, skin, 0.0);
        add(cone(mid, base + dir * len + across * (spread * 0.008), 0.0088, 0.0068), 0.003, skin, 0.0);
    }
    let thumb = wr + dir * 0.03 + across * -0.022;
    add(cone(thumb, thumb + dir * 0.055 + across * -0.024 + flat * 0.014, 0.0125, 0.0075), 0.008, skin, 0.0);
}

fn leg(add: &mut impl FnMut(Shape, f32, Material, f32), s: &Skeleton, i: usize) {
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let skin = Material::Skin;
    let (hip, knee, ankle, toe) = (s.hips[i], s.knees[i], s.ankles[i], s.toes[i]);
    let shin = (ankle - knee).unit();
    let thigh = (knee - hip).unit();
    let bend = knee - hip.lerp(ankle, 0.5);
    let ahead = if bend.len() > 0.02 { bend } else { s.pelvis_axes.f };
    let front = (ahead - shin * ahead.dot(shin)).unit();
    let front_t = (ahead - thigh * ahead.dot(thigh)).unit();
    add(cone(hip, hip.lerp(knee, 0.5), 0.088, 0.071), 0.05, skin, 0.0);
    add(cone(hip.lerp(knee, 0.35) + front_t * 0.012, knee - thigh * 0.03, 0.072, 0.049), 0.03, skin, 0.0);
    add(cone(knee, knee + shin * 0.06, 0.050, 0.045), 0.025, skin, 0.0);
    add(cone(knee + front * 0.028, knee + front * 0.024 + shin * 0.02, 0.026, 0.022), 0.025, skin, 0.0);
    let calf = knee + shin * 0.125 - front * 0.018;
    add(cone(calf, knee + shin * 0.25 - front * 0.006, 0.053, 0.038), 0.03, skin, 0.0);
    add(cone(knee + shin * 0.05, ankle, 0.043, 0.0305), 0.025, skin, 0.0);
    // Foot in a soft shoe: heel, arch, ball, toes.
    let shoe = 1.0;
    let dir = (toe - ankle).unit();
    let under = (shin - dir * shin.dot(dir)).unit();
    let heel = ankle + shin * 0.030 - dir * 0.032;
    let ball = ankle + dir * 0.125 + under * 0.016;
    add(cone(ankle, ankle + shin * 0.02, 0.031, 0.030), 0.015, skin, shoe);
    add(cone(ankle, heel, 0.030, 0.027), 0.02, skin, shoe);
    add(cone(ankle + dir * 0.02, ball, 0.032, 0.026), 0.02, skin, shoe);
    add(cone(heel, ball, 0.024, 0.022), 0.02, skin, shoe);
    add(cone(ball, toe + under * 0.012, 0.0265, 0.014), 0.015, skin, shoe);
}
