use std::sync::atomic::*; use std::sync::Mutex; use twostage::diagnosis::{library::*,model::*,posterior::*,random::*,reading::*,unknowns::*}; use twostage::fault::Fault; use twostage::scenario::Scenario;
pub fn measure(v:&Values,world:World,r:&mut Random)->Values{ let mut o=[None;ITEMS]; for i in 0..ITEMS { let Some(x)=v[i] else{continue}; o[i]=Some(match ALL[i].kind { Kind::Words(w)=>{ let mut k=x as usize; if r.uniform()>WORD_RIGHT { k=if w.len()==4&&w==BUBBLES { if r.uniform()<0.5 {k.saturating_sub(1)} else {(k+1).min(3)} } else {(k+1+r.below(w.len()-1))%w.len()}; } k as f64}, _=>x+world.noise*ALL[i].uncertainty(x)*r.normal()}); } o}
fn main(){
 let n:usize=std::env::args().nth(1).unwrap().parse().unwrap(); let rough=std::env::args().nth(2).is_some();
 let text="title='x'\nsummary='x'\n[site]\nair='60 degF'\n[[container]]\nkind='30 lb cylinder'\nfill='60 %'\n[[appliance]]\nkind='furnace'\n[[appliance]]\nkind='water heater'\n[[appliance]]\nkind='refrigerator'\n[[appliance]]\nkind='cooktop'\n[[appliance]]\nkind='on-demand heater'\n[run]\nduration='30 min'\nsample='1 s'\n";
 let base=Scenario::parse("x",text).unwrap(); let mut l=Library::new(&base);
 println!("take {}",l.take_bytes(&std::fs::read("/tmp/dx.lib").unwrap()));
 let t=std::time::Instant::now(); let m=Model::new(&l,Tuning::default()).unwrap(); println!("model {:.0} ms, {} kernels",t.elapsed().as_secs_f64()*1e3,m.kernels.len());
 let world=if rough{World::ROUGH}else{World::NOMINAL};
 for (c,s) in m.causes.iter().zip(&m.shown){ if *s<0.5 {println!("shown {:.2} {}",s,c.map_or("healthy",|f|f.id()));}}
 let causes=m.causes.clone(); let usable:Vec<usize>=(1..causes.len()).filter(|&c|m.counts[c]>=3).collect();
 // cases, cached
 let file=format!("/tmp/dxcases{}{}.bin",n,if rough{"r"}else{""});
 let mut cl=Library::new(&base); 
 if !std::fs::read(&file).is_ok_and(|b|cl.take_bytes(&b)) {
  let next=AtomicUsize::new(0); let out=Mutex::new(vec![None;n]);
  std::thread::scope(|s|{ for _ in 0..2 { s.spawn(||loop{ let i=next.fetch_add(1,Ordering::Relaxed); if i>=n {break;} let mut r=Random::new(777+rough as u64,i as u64);
    let case=loop{ let f=if r.uniform()<0.2 {None} else {causes[usable[r.below(usable.len())]]}; let sev=r.between(LEAST_SEVERITY,1.0); let z=draw_unknowns(f,&mut r); let fs:Vec<_>=f.map(|f|(f,sev)).into_iter().collect(); if let Ok(v)=sample_visit(&base,&fs,&z,world,&mut r){ let s=Sample{fault:f,second:None,severity:if f.is_some(){sev}else{0.0},unknowns:z,values:v}; if f.is_none()||m.shows(&s){break s;} } }; out.lock().unwrap()[i]=Some(case); });}});
  cl.samples=out.into_inner().unwrap().into_iter().flatten().collect(); cl.rounds=1; std::fs::write(&file,cl.to_bytes()).unwrap();
 }
 println!("cases {:.0} s",t.elapsed().as_secs_f64());
 let prior:Vec<f64>=causes.iter().enumerate().map(|(c,f)|if f.is_none(){0.2}else if usable.contains(&c){0.8/usable.len() as f64}else{0.0}).collect();
 let verbose=std::env::var("V").is_ok();
 let envf=|k:&str,d:f64|std::env::var(k).ok().and_then(|s|s.parse().ok()).unwrap_or(d); let d=Tuning::default();
 let m=Model::new(&l,Tuning{own:envf("OWN",d.own),gap:envf("GAP",d.gap),tails:envf("TAILS",d.tails),floor:envf("FLOOR",d.floor)}).unwrap();
 let (mut t1,mut t3,mut nf,mut hf,mut nh,mut none)=(0,0,0,0,0,0); let mut bins=vec![(0.0,0.0,0);10]; let mut conf=std::collections::BTreeMap::new(); let t=std::time::Instant::now();
 for (i,c) in cl.samples.iter().enumerate(){ let mut r=Random::new(99,i as u64); let v=measure(&c.values,world,&mut r); let e=Evidence::new(&v,&[None;ITEMS],m.tuning.floor); let p=posterior(&m,&e,&prior);
  let mut o:Vec<usize>=(0..causes.len()).collect(); o.sort_by(|a,b|p.causes[*b].total_cmp(&p.causes[*a])); let truth=causes.iter().position(|f|*f==c.fault).unwrap();
  let b=((p.causes[o[0]]*10.0) as usize).min(9); bins[b].0+=p.causes[o[0]]; bins[b].1+=f64::from(u8::from(o[0]==truth)); bins[b].2+=1;
  if p.none>p.causes[o[0]] {none+=1;}
  if c.fault.is_none(){nh+=1; if o[0]!=truth {hf+=1;}} else {nf+=1; if o[0]==truth{t1+=1;} if o[..3].contains(&truth){t3+=1;}}
  let name=|k:usize|causes[k].map_or("healthy",|f|f.id());
  if o[0]!=truth {*conf.entry((name(truth),name(o[0]))).or_insert(0)+=1; if verbose&&!o[..3].contains(&truth) {println!("MISS {} s={:.2} -> {} {:.2}, true {:.3} none {:.2} near {:.1}",name(truth),c.severity,name(o[0]),p.causes[o[0]],p.causes[truth],p.none,p.nearest);}}
 }
 println!("{:.1} ms each; faults {nf}: first {:.3} three {:.3}; healthy {nh} called faulty {:.3}; none {none}",t.elapsed().as_secs_f64()*1e3/cl.samples.len() as f64,t1 as f64/nf as f64,t3 as f64/nf as f64,hf as f64/nh as f64);
 let ece:f64=bins.iter().map(|b|(b.0-b.1 as f64).abs()).sum::<f64>()/cl.samples.len() as f64; println!("ECE {ece:.3} {:?}",bins.iter().map(|b|format!("{:.2}/{:.2}/{}",b.0/b.2.max(1) as f64,b.1/b.2.max(1) as f64,b.2)).collect::<Vec<_>>());
 let mut cv:Vec<_>=conf.into_iter().collect(); cv.sort_by_key(|x|-x.1); for (k,n) in cv.iter().take(40){print!("{}>{}:{n}  ",k.0,k.1);} println!();
}
