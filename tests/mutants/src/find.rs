//! Where a source can be broken: every place at which one small change gives another program.
//!
//! Left out are tests, patterns, types, attributes and whatever stands inside a macro's brackets.

use std::ops::Range;

use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{BinOp, Block, Expr, Lit, ReturnType, Stmt};

/// One small change of a source.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Mutant {
    /// The file, from the root of the repository.
    pub(crate) file: String,
    /// The bytes of the file that it changes; empty where it only puts something in.
    pub(crate) range: Range2,
    /// What is done there.
    pub(crate) change: Change,
    /// The line, from 1.
    pub(crate) line: usize,
    /// Whether the place is worked out by the compiler (a `const`), so that no switch can stand there.
    pub(crate) constant: bool,
}

/// A range that has an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Range2 {
    /// The first byte.
    pub(crate) start: usize,
    /// The byte behind the last.
    pub(crate) end: usize,
}

impl From<Range<usize>> for Range2 {
    fn from(range: Range<usize>) -> Self {
        Self { start: range.start, end: range.end }
    }
}

/// What is done to a place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Change {
    /// An expression becomes another.
    Replace(String),
    /// A condition holds where it did not.
    Negate,
    /// A statement is left out.
    Remove,
    /// A function returns that at once.
    Return(String),
}

impl Mutant {
    /// What was there, and what is there now, on one line.
    pub(crate) fn told(&self, source: &str) -> String {
        let was = one_line(source.get(self.range.start..self.range.end).unwrap_or_default());
        match &self.change {
            Change::Replace(by) => format!("{was} -> {}", one_line(by)),
            Change::Negate => format!("{was} -> !({was})"),
            Change::Remove => format!("{was} -> nothing"),
            Change::Return(value) if value.is_empty() => "return at once".to_owned(),
            Change::Return(value) => format!("return {value} at once"),
        }
    }
}

fn one_line(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let line = words.join(" ");
    match line.char_indices().nth(100) {
        Some((at, _)) => format!("{} …", &line[..at]),
        None => line,
    }
}

/// Every change that is thought of for one source.
pub(crate) fn mutants(file: &str, source: &str) -> Result<Vec<Mutant>, String> {
    let tree = syn::parse_file(source).map_err(|error| format!("{file}: {error}"))?;
    let mut finder = Finder { file, source, found: Vec::new(), constant: false };
    finder.visit_file(&tree);
    let mut found = finder.found;
    found.sort();
    found.dedup();
    Ok(found)
}

struct Finder<'a> {
    file: &'a str,
    source: &'a str,
    found: Vec<Mutant>,
    constant: bool,
}

impl Finder<'_> {
    fn text(&self, of: &impl Spanned) -> &str {
        self.source.get(of.span().byte_range()).unwrap_or_default()
    }

    fn add(&mut self, at: &impl Spanned, change: Change) {
        let span = at.span();
        self.push(span.byte_range().into(), span.start().line, change);
    }

    fn push(&mut self, range: Range2, line: usize, change: Change) {
        let (file, constant) = (self.file.to_owned(), self.constant);
        self.found.push(Mutant { file, range, change, line, constant });
    }

    /// A two-sided expression with another sign between its sides.
    fn with_sign(&mut self, whole: &syn::ExprBinary, sign: &str) {
        let (left, right) = (self.text(&whole.left).to_owned(), self.text(&whole.right).to_owned());
        self.add(whole, Change::Replace(format!("{left} {sign} {right}")));
    }

    fn inside_constant(&mut self, look: impl FnOnce(&mut Self)) {
        let before = std::mem::replace(&mut self.constant, true);
        look(self);
        self.constant = before;
    }

    fn body(&mut self, signature: &syn::Signature, block: &Block) {
        let range = block.brace_token.span.open().byte_range();
        let at = Range2 { start: range.end, end: range.end };
        if block.stmts.is_empty() || signature.asyncness.is_some() {
            return;
        }
        for value in defaults(&signature.output) {
            self.push(at, signature.ident.span().start().line, Change::Return(value));
        }
    }

    fn arguments<'b>(&mut self, whole: &Expr, arguments: impl Iterator<Item = &'b Expr>) {
        let all = whole.span().byte_range();
        let places: Vec<Range<usize>> = arguments.map(|one| one.span().byte_range()).collect();
        for pair in places.windows(2) {
            let [one, two] = pair else { continue };
            let (first, second) = (&self.source[one.clone()], &self.source[two.clone()]);
            if first != second {
                let before = &self.source[all.start..one.start];
                let between = &self.source[one.end..two.start];
                let after = &self.source[two.end..all.end];
                let swapped = format!("{before}{second}{between}{first}{after}");
                self.add(whole, Change::Replace(swapped));
            }
        }
    }

    fn condition(&mut self, condition: &Expr) {
        if !holds_let(condition) {
            self.add(condition, Change::Negate);
        }
    }
}

/// Values of the kind that a function returns, told by how its type is written.
fn defaults(output: &ReturnType) -> Vec<String> {
    let ReturnType::Type(_, kind) = output else { return vec![String::new()] };
    let name = match &**kind {
        syn::Type::Path(path) => path.path.segments.last().map(|last| last.ident.to_string()),
        syn::Type::Reference(_) | syn::Type::ImplTrait(_) | syn::Type::Never(_) => return Vec::new(),
        _ => None,
    };
    let values: &[&str] = match name.as_deref() {
        Some("bool") => &["false", "true"],
        Some("Option") => &["None"],
        Some("Result") => &["Ok(Default::default())"],
        Some("f64") => &["0.0", "1.0"],
        Some("Ordering") => &["std::cmp::Ordering::Equal"],
        _ => &["Default::default()"],
    };
    values.iter().map(|&value| value.to_owned()).collect()
}

/// The last name of what is called, where it has one.
fn called(call: &syn::ExprCall) -> Option<&syn::Ident> {
    match &*call.func {
        Expr::Path(path) => path.path.segments.last().map(|last| &last.ident),
        _ => None,
    }
}

fn holds_let(condition: &Expr) -> bool {
    match condition {
        Expr::Let(_) => true,
        Expr::Binary(both) if matches!(both.op, BinOp::And(_)) => {
            holds_let(&both.left) || holds_let(&both.right)
        }
        _ => false,
    }
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|one| {
        let named = one.path().is_ident("test");
        let only_for_tests =
            one.path().is_ident("cfg") && one.parse_args::<syn::Ident>().is_ok_and(|word| word == "test");
        named || only_for_tests
    })
}

/// The other signs that are tried in the place of one.
fn signs(sign: &BinOp) -> &'static [&'static str] {
    match sign {
        BinOp::Add(_) => &["-"],
        BinOp::Sub(_) => &["+"],
        BinOp::Mul(_) => &["/"],
        BinOp::Div(_) | BinOp::Rem(_) => &["*"],
        BinOp::And(_) => &["||"],
        BinOp::Or(_) => &["&&"],
        BinOp::Lt(_) => &["<=", ">"],
        BinOp::Le(_) => &["<", ">"],
        BinOp::Gt(_) => &[">=", "<"],
        BinOp::Ge(_) => &[">", "<"],
        BinOp::Eq(_) => &["!="],
        BinOp::Ne(_) => &["=="],
        BinOp::AddAssign(_) => &["-="],
        BinOp::SubAssign(_) => &["+="],
        BinOp::MulAssign(_) => &["/="],
        BinOp::DivAssign(_) => &["*="],
        _ => &[],
    }
}

/// A constant and its neighbours.
fn neighbours(constant: &Lit) -> Vec<String> {
    match constant {
        Lit::Bool(value) => vec![(!value.value).to_string()],
        Lit::Int(digits) => {
            let Ok(value) = digits.base10_parse::<u128>() else { return Vec::new() };
            let suffix = digits.suffix();
            let more = value.checked_add(1).map(|n| format!("{n}{suffix}"));
            let less = value.checked_sub(1).map(|n| format!("{n}{suffix}"));
            more.into_iter().chain(less).collect()
        }
        Lit::Float(digits) => {
            let Ok(value) = digits.base10_parse::<f64>() else { return Vec::new() };
            let suffix = digits.suffix();
            [value + 1.0, value - 1.0].map(|n| format!("{n:?}{suffix}")).to_vec()
        }
        _ => Vec::new(),
    }
}

impl<'a> Visit<'a> for Finder<'_> {
    fn visit_item(&mut self, item: &'a syn::Item) {
        let attributes: &[syn::Attribute] = match item {
            syn::Item::Fn(one) => &one.attrs,
            syn::Item::Mod(one) => &one.attrs,
            syn::Item::Impl(one) => &one.attrs,
            syn::Item::Const(one) => &one.attrs,
            syn::Item::Static(one) => &one.attrs,
            _ => &[],
        };
        if !is_test(attributes) {
            visit::visit_item(self, item);
        }
    }

    fn visit_impl_item_fn(&mut self, function: &'a syn::ImplItemFn) {
        if is_test(&function.attrs) {
            return;
        }
        let look = |finder: &mut Self| {
            finder.body(&function.sig, &function.block);
            visit::visit_block(finder, &function.block);
        };
        if function.sig.constness.is_some() { self.inside_constant(look) } else { look(self) }
    }

    fn visit_item_fn(&mut self, function: &'a syn::ItemFn) {
        let look = |finder: &mut Self| {
            finder.body(&function.sig, &function.block);
            visit::visit_block(finder, &function.block);
        };
        if function.sig.constness.is_some() { self.inside_constant(look) } else { look(self) }
    }

    fn visit_item_const(&mut self, item: &'a syn::ItemConst) {
        self.inside_constant(|finder| finder.visit_expr(&item.expr));
    }

    fn visit_item_static(&mut self, item: &'a syn::ItemStatic) {
        self.inside_constant(|finder| finder.visit_expr(&item.expr));
    }

    fn visit_impl_item_const(&mut self, item: &'a syn::ImplItemConst) {
        self.inside_constant(|finder| finder.visit_expr(&item.expr));
    }

    fn visit_item_enum(&mut self, _: &'a syn::ItemEnum) {}
    fn visit_pat(&mut self, _: &'a syn::Pat) {}
    fn visit_type(&mut self, _: &'a syn::Type) {}
    fn visit_attribute(&mut self, _: &'a syn::Attribute) {}
    fn visit_macro(&mut self, _: &'a syn::Macro) {}
    fn visit_path_arguments(&mut self, _: &'a syn::PathArguments) {}

    fn visit_angle_bracketed_generic_arguments(&mut self, _: &'a syn::AngleBracketedGenericArguments) {}

    fn visit_expr_binary(&mut self, both: &'a syn::ExprBinary) {
        let chained = matches!(both.op, BinOp::And(_)) && (holds_let(&both.left) || holds_let(&both.right));
        if !chained {
            for sign in signs(&both.op) {
                self.with_sign(both, sign);
            }
        }
        visit::visit_expr_binary(self, both);
    }

    fn visit_expr_lit(&mut self, constant: &'a syn::ExprLit) {
        for other in neighbours(&constant.lit) {
            self.add(constant, Change::Replace(other));
        }
    }

    fn visit_expr_repeat(&mut self, repeat: &'a syn::ExprRepeat) {
        self.visit_expr(&repeat.expr);
        self.inside_constant(|finder| finder.visit_expr(&repeat.len));
    }

    fn visit_expr_if(&mut self, choice: &'a syn::ExprIf) {
        self.condition(&choice.cond);
        visit::visit_expr_if(self, choice);
    }

    fn visit_expr_while(&mut self, again: &'a syn::ExprWhile) {
        self.condition(&again.cond);
        visit::visit_expr_while(self, again);
    }

    fn visit_arm(&mut self, arm: &'a syn::Arm) {
        if let Some((_, guard)) = &arm.guard {
            self.condition(guard);
        }
        visit::visit_arm(self, arm);
    }

    fn visit_expr(&mut self, whole: &'a Expr) {
        match whole {
            // How much is reserved beforehand changes nothing that anybody can see.
            Expr::Call(call) if called(call).is_some_and(|name| name == "with_capacity") => return,
            // The less of two is the same whichever way round.
            Expr::Call(call) if called(call).is_some_and(|name| name == "min" || name == "max") => {}
            Expr::Call(call) => self.arguments(whole, call.args.iter()),
            Expr::MethodCall(call) => self.arguments(whole, call.args.iter()),
            _ => {}
        }
        visit::visit_expr(self, whole);
    }

    fn visit_block(&mut self, block: &'a Block) {
        let last = block.stmts.len().saturating_sub(1);
        for (at, statement) in block.stmts.iter().enumerate() {
            let removable = match statement {
                Stmt::Expr(Expr::ForLoop(_) | Expr::While(_), None) => true,
                Stmt::Expr(Expr::If(_) | Expr::Match(_), None) => at < last,
                Stmt::Expr(Expr::Macro(_), Some(_)) => false,
                Stmt::Expr(_, Some(_)) => true,
                _ => false,
            };
            if removable {
                self.add(statement, Change::Remove);
            }
        }
        visit::visit_block(self, block);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(source: &str) -> Vec<String> {
        let found = mutants("a.rs", source).expect("it parses");
        found.iter().map(|mutant| mutant.told(source)).collect()
    }

    #[test]
    fn signs_edges_and_constants() {
        let found = told("fn f(a: u8) -> bool { a + 1 < 3 }");
        for expected in [
            "return false at once",
            "return true at once",
            "a + 1 -> a - 1",
            "a + 1 < 3 -> a + 1 <= 3",
            "a + 1 < 3 -> a + 1 > 3",
            "1 -> 2",
            "1 -> 0",
            "3 -> 4",
            "3 -> 2",
        ] {
            assert!(found.contains(&expected.to_owned()), "{expected}: {found:?}");
        }
        assert_eq!(found.len(), 9);
    }

    #[test]
    fn conditions_statements_and_arguments() {
        let found = told("fn f() { if a && b { g(1.5, x); } }");
        for expected in [
            "return at once",
            "a && b -> a || b",
            "a && b -> !(a && b)",
            "g(1.5, x) -> g(x, 1.5)",
            "1.5 -> 2.5",
            "1.5 -> 0.5",
            "g(1.5, x); -> nothing",
        ] {
            assert!(found.contains(&expected.to_owned()), "{expected}: {found:?}");
        }
        assert_eq!(found.len(), 7);
    }

    #[test]
    fn what_is_left_alone() {
        assert_eq!(told("#[cfg(test)] mod tests { fn f() -> u8 { 1 + 2 } }"), Vec::<String>::new());
        assert_eq!(told("fn f(x: [u8; 3]) { let 4 = y; }"), ["return at once"]);
        assert_eq!(told("fn f() { if let Some(x) = y && x { } }"), ["return at once"]);
        assert_eq!(told("fn f() { assert!(1 < 2); }"), ["return at once"]);
        assert_eq!(told("fn f() { let x = Vec::with_capacity(2 * n); }"), ["return at once"]);
        assert_eq!(told("fn f() { let x = f64::min(a, b); }"), ["return at once"]);
    }

    #[test]
    fn constants_of_the_compiler_are_marked() {
        let found = mutants("a.rs", "const A: u8 = 1; fn f() -> u8 { 2 }").expect("it parses");
        let marked: Vec<bool> = found.iter().map(|mutant| mutant.constant).collect();
        assert_eq!(marked, [true, true, false, false, false]);
    }
}
