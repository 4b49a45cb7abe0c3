use super::documents::shoots;
#[test]
fn write() {
    for (n, r) in shoots() {
        for c in super::super::draw(&r).unwrap() {
            let n = n.replace(' ', "-");
            std::fs::write(format!("/tmp/charts-out/{n}-{}.svg", c.name), &c.svg).unwrap();
            std::fs::write(format!("/tmp/charts-out/{n}-{}.png", c.name), &c.png).unwrap();
        }
    }
}
