//! Points of a source file at which one thing can be changed.

use crate::swap;
use anyhow::Result;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// One change of one thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Point {
    pub room: String,
    pub file: String,
    pub line: usize,
    pub column: usize,
    /// The function it is in.
    pub function: String,
    /// What is changed, in words: `< to <=`.
    pub change: String,
    pub shape: Shape,
}

/// Where the change is in the file's text, in bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shape {
    /// Another operator between two operands.
    Binary { left: Range<usize>, right: Range<usize>, becomes: String },
    /// The operator is gone.
    Unary { all: Range<usize>, operand: Range<usize> },
    /// The function returns this at once; where its body begins.
    Body { at: usize, returns: String },
}

impl Shape {
    /// All that is replaced; empty for what is only put in.
    pub fn span(&self) -> Range<usize> {
        match self {
            Self::Binary { left, right, .. } => left.start..right.end,
            Self::Unary { all, .. } => all.clone(),
            Self::Body { at, .. } => *at..*at,
        }
    }
}

impl Point {
    /// Two runs know it by this.
    pub fn key(&self) -> String {
        format!("{}:{}:{} {}", self.file, self.line, self.column, self.change)
    }
}

/// All points of a file.
pub fn of_file(room: &str, file: &str, text: &str) -> Result<Vec<Point>> {
    let tree = syn::parse_file(text)?;
    let mut finder = Finder { room, file, function: String::new(), found: Vec::new() };
    finder.visit_file(&tree);
    Ok(finder.found)
}

struct Finder<'a> {
    room: &'a str,
    file: &'a str,
    function: String,
    found: Vec<Point>,
}

impl Finder<'_> {
    fn add(&mut self, at: proc_macro2::Span, change: String, shape: Shape) {
        let start = at.start();
        self.found.push(Point {
            room: self.room.to_owned(),
            file: self.file.to_owned(),
            line: start.line,
            column: start.column + 1,
            function: self.function.clone(),
            change,
            shape,
        });
    }

    fn function(&mut self, signature: &syn::Signature, body: &syn::Block) {
        let outer = std::mem::replace(&mut self.function, signature.ident.to_string());
        let at = body.brace_token.span.open().byte_range().end;
        for returns in swap::returned(&signature.output, body) {
            let shape = Shape::Body { at, returns: returns.clone() };
            let change = format!("{} returns {returns}", signature.ident)
                .replace("returns ()", "does nothing");
            self.add(signature.ident.span(), change, shape);
        }
        self.visit_block(body);
        self.function = outer;
    }
}

/// Whether a `let` is among the operands, which only `if` and `while` can hold.
fn holds_let(expr: &syn::Expr) -> bool {
    struct Lets(bool);
    impl<'ast> Visit<'ast> for Lets {
        fn visit_expr_let(&mut self, _: &'ast syn::ExprLet) {
            self.0 = true;
        }
    }
    let mut lets = Lets(false);
    lets.visit_expr(expr);
    lets.0
}

/// Whether it is there in some builds only; what is for tests is no subject.
fn conditional(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| a.path().is_ident("cfg") || a.path().is_ident("test"))
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if !conditional(&item.attrs) {
            visit::visit_item_mod(self, item);
        }
    }

    fn visit_item_impl(&mut self, item: &'ast syn::ItemImpl) {
        if !conditional(&item.attrs) {
            visit::visit_item_impl(self, item);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        if !conditional(&item.attrs) && item.sig.constness.is_none() {
            self.function(&item.sig, &item.block);
        }
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        if !conditional(&item.attrs) && item.sig.constness.is_none() {
            self.function(&item.sig, &item.block);
        }
    }

    fn visit_trait_item_fn(&mut self, item: &'ast syn::TraitItemFn) {
        if let Some(body) = &item.default
            && !conditional(&item.attrs)
            && item.sig.constness.is_none()
        {
            self.function(&item.sig, body);
        }
    }

    fn visit_expr_binary(&mut self, expr: &'ast syn::ExprBinary) {
        if !holds_let(&expr.left) && !holds_let(&expr.right) {
            for (was, becomes) in swap::operators(&expr.op) {
                let shape = Shape::Binary {
                    left: expr.left.span().byte_range(),
                    right: expr.right.span().byte_range(),
                    becomes: becomes.to_owned(),
                };
                self.add(expr.op.span(), format!("{was} to {becomes}"), shape);
            }
        }
        visit::visit_expr_binary(self, expr);
    }

    fn visit_expr_unary(&mut self, expr: &'ast syn::ExprUnary) {
        let sign = match expr.op {
            syn::UnOp::Not(_) => Some("!"),
            syn::UnOp::Neg(_) => Some("-"),
            _ => None,
        };
        if let Some(sign) = sign {
            let all = expr.span().byte_range();
            let shape = Shape::Unary { all, operand: expr.expr.span().byte_range() };
            self.add(expr.op.span(), format!("{sign} left out"), shape);
        }
        visit::visit_expr_unary(self, expr);
    }

    // what the compiler works out cannot be chosen at run time
    fn visit_expr_repeat(&mut self, expr: &'ast syn::ExprRepeat) {
        self.visit_expr(&expr.expr);
    }
    fn visit_expr_const(&mut self, _: &'ast syn::ExprConst) {}
    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_trait_item_const(&mut self, _: &'ast syn::TraitItemConst) {}
    fn visit_item_enum(&mut self, _: &'ast syn::ItemEnum) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}
    fn visit_generic_argument(&mut self, _: &'ast syn::GenericArgument) {}
    fn visit_pat(&mut self, _: &'ast syn::Pat) {}
    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {}
}
