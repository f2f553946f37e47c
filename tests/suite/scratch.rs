use mainsfit::profile::*;
use mainsfit::receiver::*;
#[test]
fn look() {
    for f in ["console-1936","table-1948","little-known"] {
        let path = format!("profiles/{f}.yaml");
        let doc = Document::parse(&path, &std::fs::read(&path).unwrap()).map_err(|p| println!("{}", p.render())).unwrap();
        let (p, w) = read(&doc).map_err(|p| println!("{}", p.render())).unwrap();
        println!("{}", w.render());
        let (m, a) = complete(&p).map_err(|e| println!("{e} {}", e.advice())).unwrap();
        for x in &a { println!("  assumed {} = {} ({})", x.what, x.value, x.rule); }
        let t = std::time::Instant::now();
        let r = Receiver::new(m, None).unwrap();
        println!("calibrated {:?} {:?}", t.elapsed(), r.turns());
        for line in [110.0, 115.0, 117.0, 123.0, 126.0] {
            let t = std::time::Instant::now();
            let o = r.run(line, &Straight, None).unwrap();
            println!("{line} B+ {:.1} heater {:.3} rounds {} state rounds {} {:?}", o.b_plus(), o.heater_volts(0), o.rounds, o.state.rounds(), t.elapsed());
            for (i, t) in o.slow.tube_volts.iter().enumerate() { let c = r.model().tubes[i].law.currents(t[0],t[1],t[2]); println!("   {} g {:.2} s {:.1} p {:.1} k {:.2}  ip {:.2} is {:.2}", r.model().tubes[i].label, t[0],t[1],t[2],t[3], c.plate*1e3, c.screen*1e3); }
            for (i,_) in r.model().coils.iter().enumerate() { println!("   coil {:.1} C {:.1} ohm", r.coil_celsius(&o,i), o.slow.coil_ohms[i]); }
        }
    }
}
