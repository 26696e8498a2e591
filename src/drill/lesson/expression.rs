//! Small expressions over measured readings: what a lesson's answer is checked against.
//!
//! Grammar, loosest first: `or`, `and`, one comparison (`<` `<=` `>` `>=`), `+ -`, `* /`, a sign,
//! and a number, a name, `abs(...)` or brackets. A value is a number or true or false; a division
//! by nothing is an error, never an infinite number.

use std::collections::BTreeMap;

/// Longest expression, characters, and deepest brackets.
const LONGEST: usize = 300;
const DEEPEST: usize = 20;

/// Named numbers.
pub type Names = BTreeMap<String, f64>;

/// What an expression gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A number.
    Number(f64),
    /// Whether something holds.
    Truth(bool),
}

/// A parsed expression.
#[derive(Debug, Clone, PartialEq)]
pub enum Expression {
    /// A number.
    Number(f64),
    /// A name.
    Name(String),
    /// `-x` and `abs(x)`.
    One(char, Box<Expression>),
    /// `x op y`; `<=` is written `l`, `>=` is `g`, `and` is `&`, `or` is `|`.
    Two(char, Box<Expression>, Box<Expression>),
}

/// Why an expression gives nothing, in words.
pub type Wrong = String;

impl Expression {
    /// Reads an expression.
    ///
    /// # Errors
    /// What is wrong with it, in words.
    pub fn parse(text: &str) -> Result<Self, Wrong> {
        if text.chars().count() > LONGEST {
            return Err(format!("an expression is over {LONGEST} characters long"));
        }
        let mut reader = Reader {
            tokens: tokens(text)?,
            at: 0,
            depth: 0,
        };
        let out = reader.or()?;
        match reader.next() {
            None => Ok(out),
            Some(t) => Err(format!("`{t}` is not expected there")),
        }
    }

    /// Names it uses.
    pub fn names(&self, out: &mut Vec<String>) {
        match self {
            Self::Number(_) => {}
            Self::Name(n) => out.push(n.clone()),
            Self::One(_, x) => x.names(out),
            Self::Two(_, x, y) => {
                x.names(out);
                y.names(out);
            }
        }
    }

    /// Its value.
    ///
    /// # Errors
    /// An unknown name, a truth where a number is wanted or the other way, a number that is none.
    pub fn value(&self, names: &Names) -> Result<Value, Wrong> {
        Ok(match self {
            Self::Number(n) => Value::Number(*n),
            Self::Name(n) => Value::Number(
                *names
                    .get(n)
                    .ok_or_else(|| format!("nothing measured is called `{n}`"))?,
            ),
            Self::One('a', x) => Value::Number(x.number(names)?.abs()),
            Self::One(_, x) => Value::Number(-x.number(names)?),
            Self::Two('&', x, y) => Value::Truth(x.truth(names)? && y.truth(names)?),
            Self::Two('|', x, y) => Value::Truth(x.truth(names)? || y.truth(names)?),
            Self::Two(op, x, y) => two(*op, x.number(names)?, y.number(names)?)?,
        })
    }

    /// Its value as a number.
    ///
    /// # Errors
    /// As [`Expression::value`].
    pub fn number(&self, names: &Names) -> Result<f64, Wrong> {
        match self.value(names)? {
            Value::Number(n) => Ok(n),
            Value::Truth(_) => Err("a number is wanted, not a comparison".to_owned()),
        }
    }

    /// Whether it holds.
    ///
    /// # Errors
    /// As [`Expression::value`].
    pub fn truth(&self, names: &Names) -> Result<bool, Wrong> {
        match self.value(names)? {
            Value::Truth(t) => Ok(t),
            Value::Number(_) => Err("a comparison is wanted, not a number".to_owned()),
        }
    }
}

fn two(op: char, x: f64, y: f64) -> Result<Value, Wrong> {
    let number = match op {
        '+' => x + y,
        '-' => x - y,
        '*' => x * y,
        '/' if y == 0.0 => return Err("a division by nothing".to_owned()),
        '/' => x / y,
        '<' => return Ok(Value::Truth(x < y)),
        'l' => return Ok(Value::Truth(x <= y)),
        '>' => return Ok(Value::Truth(x > y)),
        _ => return Ok(Value::Truth(x >= y)),
    };
    if number.is_finite() {
        Ok(Value::Number(number))
    } else {
        Err("a number too large".to_owned())
    }
}

fn tokens(text: &str) -> Result<Vec<String>, Wrong> {
    let mut out: Vec<String> = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(&c) = chars.peek() {
        if c.is_whitespace() {
            chars.next();
            continue;
        }
        let mut word = String::new();
        if c.is_ascii_alphanumeric() || c == '_' || c == '.' {
            while let Some(&c) = chars.peek() {
                if !(c.is_ascii_alphanumeric() || c == '_' || c == '.') {
                    break;
                }
                word.push(c);
                chars.next();
            }
        } else if "+-*/()<>".contains(c) {
            word.push(c);
            chars.next();
            if "<>".contains(c) && chars.peek() == Some(&'=') {
                chars.next();
                word.push('=');
            }
        } else {
            return Err(format!("`{c}` is no sign of an expression"));
        }
        out.push(word);
    }
    Ok(out)
}

struct Reader {
    tokens: Vec<String>,
    at: usize,
    depth: usize,
}

type Read = Result<Expression, Wrong>;

impl Reader {
    fn peek(&self) -> Option<&str> {
        self.tokens.get(self.at).map(String::as_str)
    }

    fn next(&mut self) -> Option<String> {
        self.at += 1;
        self.tokens.get(self.at - 1).cloned()
    }

    fn chain(&mut self, ops: &[(&str, char)], next: fn(&mut Self) -> Read) -> Read {
        let mut out = next(self)?;
        while let Some((_, op)) = self.peek().and_then(|t| ops.iter().find(|(w, _)| *w == t)) {
            self.at += 1;
            out = Expression::Two(*op, Box::new(out), Box::new(next(self)?));
        }
        Ok(out)
    }

    fn or(&mut self) -> Read {
        self.chain(&[("or", '|')], Self::and)
    }

    fn and(&mut self) -> Read {
        self.chain(&[("and", '&')], Self::comparison)
    }

    fn comparison(&mut self) -> Read {
        let left = self.sum()?;
        let ops = [("<", '<'), ("<=", 'l'), (">", '>'), (">=", 'g')];
        let Some((_, op)) = self.peek().and_then(|t| ops.iter().find(|(w, _)| *w == t)) else {
            return Ok(left);
        };
        self.at += 1;
        Ok(Expression::Two(*op, Box::new(left), Box::new(self.sum()?)))
    }

    fn sum(&mut self) -> Read {
        self.chain(&[("+", '+'), ("-", '-')], Self::product)
    }

    fn product(&mut self) -> Read {
        self.chain(&[("*", '*'), ("/", '/')], Self::sign)
    }

    fn sign(&mut self) -> Read {
        if self.peek() == Some("-") {
            self.at += 1;
            return Ok(Expression::One('-', Box::new(self.atom()?)));
        }
        self.atom()
    }

    fn brackets(&mut self) -> Read {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(format!("brackets over {DEEPEST} deep"));
        }
        let inner = self.or()?;
        self.depth -= 1;
        match self.next().as_deref() {
            Some(")") => Ok(inner),
            _ => Err("a bracket is not closed".to_owned()),
        }
    }

    fn atom(&mut self) -> Read {
        let Some(word) = self.next() else {
            return Err("the expression ends too early".to_owned());
        };
        match word.as_str() {
            "(" => self.brackets(),
            "abs" if self.peek() == Some("(") => {
                self.at += 1;
                Ok(Expression::One('a', Box::new(self.brackets()?)))
            }
            w if w.starts_with(|c: char| c.is_ascii_digit() || c == '.') => w
                .parse::<f64>()
                .ok()
                .filter(|n| n.is_finite())
                .map(Expression::Number)
                .ok_or_else(|| format!("`{w}` is no number")),
            w if w.starts_with(|c: char| c.is_ascii_alphabetic()) => {
                Ok(Expression::Name(w.to_owned()))
            }
            w => Err(format!("`{w}` is not expected there")),
        }
    }
}
