use std::sync::atomic::*; use twostage::diagnosis::library::*; use twostage::scenario::Scenario;
fn main(){
 let rounds:usize=std::env::args().nth(1).unwrap().parse().unwrap();
 let text="title='x'\nsummary='x'\n[site]\nair='60 degF'\n[[container]]\nkind='30 lb cylinder'\nfill='60 %'\n[[appliance]]\nkind='furnace'\n[[appliance]]\nkind='water heater'\n[[appliance]]\nkind='refrigerator'\n[[appliance]]\nkind='cooktop'\n[[appliance]]\nkind='on-demand heater'\n[run]\nduration='30 min'\nsample='1 s'\n";
 let base=Scenario::parse("x",text).unwrap();
 let mut l=Library::new(&base); let t=std::time::Instant::now();
 println!("{} causes",l.causes().len());
 if let Ok(b)=std::fs::read("/tmp/dx.lib"){println!("take {}",l.take_bytes(&b));}
 l.grow(rounds,None,&AtomicBool::new(false),&|g|if g.done%500==0{eprintln!("{}/{} {:.0}s",g.done,g.of,t.elapsed().as_secs_f64())});
 println!("{} samples {:.1}s",l.samples.len(),t.elapsed().as_secs_f64());
 std::fs::write("/tmp/dx.lib",l.to_bytes()).unwrap();
}
