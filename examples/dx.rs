use std::sync::Arc; use std::time::Instant;
use twostage::diagnosis::{reading::*, visit::*}; use twostage::fault::Fault; use twostage::scenario::Scenario;
fn main(){
 let only=std::env::args().nth(1);
 let text="title='x'\n[site]\nair='60 degF'\n[[container]]\nkind='30 lb cylinder'\nfill='60 %'\n[[appliance]]\nkind='furnace'\n[[appliance]]\nkind='water heater'\n[[appliance]]\nkind='refrigerator'\n[[appliance]]\nkind='cooktop'\n[[appliance]]\nkind='on-demand heater'\n[run]\nduration='30 min'\nsample='1 s'\n";
 let base=Scenario::parse("x",text).unwrap();
 let mut faults:Vec<Option<Fault>>=vec![None]; faults.extend(Fault::all().map(Some));
 let mut healthy=None;
 for f in faults { if let Some(o)=&only { if f.map_or("healthy",|f|f.id())!=o {continue;} }
  for s in [0.3,0.8] {
  let mut sc=quickened(&base); sc.events=f.map(|f|twostage::scenario::Event{at_s:0.0,action:twostage::scenario::Action::Inject{fault:f,severity:s,over_s:0.0}}).into_iter().collect();
  let t=Instant::now(); let v=visit(&Arc::new(sc)); let dt=t.elapsed().as_secs_f64()*1e3;
  print!("{:24} {s} {dt:6.1} ms ",f.map_or("healthy",|f|f.id()));
  match v { Err(e)=>println!("ERR {e}"), Ok(v)=>{ 
   let h=*healthy.get_or_insert(v);
   for i in 0..ITEMS { let (a,b)=(v[i].unwrap(),h[i].unwrap()); let it=&ALL[i];
    let shown=match it.kind {Kind::Low|Kind::Change=>a/249.09,Kind::Middle|Kind::High=>a/6894.8,_=>a};
    let differs= if i<NUMBERS {(it.scaled(a)-it.scaled(b)).abs()>2.0*it.uncertainty(b)*it.slope(b)} else {a!=b};
    if differs || f.is_none() {print!(" {}.{}={:.2}",it.table,it.key,shown);} } println!(); }}
  }}
}
