//! What a drill is judged by: what every cause would show on its rig ([`causes`]), and what follows of it for a drill
//! ([`assess`]), and of both what is sealed for marking ([`rod`]). Library, likelihood and walk are those of diagnosis, with a drill's allowances.

pub mod assess;
pub mod causes;
pub mod difficulty;
pub mod effort;
pub mod noise;
pub mod rod;
mod twin;
