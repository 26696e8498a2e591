use twostage::window::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let get = |k: &str| {
        a.iter()
            .position(|x| x == k)
            .and_then(|i| a.get(i + 1))
            .cloned()
    };
    let sc = twostage::scenario::Scenario {
        title: String::new(),
        summary: String::new(),
        rig: twostage::rig::Rig::standard(
            vec![twostage::rig::presets::container(twostage::rig::presets::CONTAINERS[0]).unwrap()],
            vec![],
        ),
        site: twostage::rig::Site::calm(280.0, 0.0),
        charges: vec![],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![],
        events: vec![],
        run: twostage::scenario::Run {
            duration_s: 1.0,
            sample_s: 1.0,
            settle_s: 0.0,
        },
    };
    let shot = get("--shot").map(|p| Shot {
        path: p.into(),
        at_s: get("--at").map_or(0.0, |s| s.parse().unwrap()),
        balance: get("--balance").map(|s| s.parse().unwrap()),
        dark: a.iter().any(|x| x == "--dark"),
        size: get("--size").map(|s| {
            let v: Vec<f32> = s.split('x').map(|x| x.parse().unwrap()).collect();
            [v[0], v[1]]
        }),
    });
    run(Start {
        scenario: sc,
        doors: Doors {
            read: |_| Err("line 4: no such unit".into()),
            write: |_| String::new(),
        },
        notice: None,
        shot,
    })
    .unwrap();
}
