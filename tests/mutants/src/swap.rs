//! What is put in place of an operator or a function.

use syn::{BinOp, Expr, GenericArgument, PathArguments, ReturnType, Type};

/// The sign of an operator and those put in its place.
pub fn operators(op: &BinOp) -> Vec<(&'static str, &'static str)> {
    let (was, others): (&'static str, &'static [&'static str]) = match op {
        BinOp::Lt(_) => ("<", &["<=", ">"]),
        BinOp::Le(_) => ("<=", &["<", ">"]),
        BinOp::Gt(_) => (">", &[">=", "<"]),
        BinOp::Ge(_) => (">=", &[">", "<"]),
        BinOp::Eq(_) => ("==", &["!="]),
        BinOp::Ne(_) => ("!=", &["=="]),
        BinOp::And(_) => ("&&", &["||"]),
        BinOp::Or(_) => ("||", &["&&"]),
        BinOp::Add(_) => ("+", &["-", "*"]),
        BinOp::Sub(_) => ("-", &["+", "/"]),
        BinOp::Mul(_) => ("*", &["/", "+"]),
        BinOp::Div(_) => ("/", &["*"]),
        BinOp::AddAssign(_) => ("+=", &["-=", "*="]),
        BinOp::SubAssign(_) => ("-=", &["+="]),
        BinOp::MulAssign(_) => ("*=", &["/="]),
        BinOp::DivAssign(_) => ("/=", &["*="]),
        _ => ("", &[]),
    };
    others.iter().map(|other| (was, *other)).collect()
}

/// What a function may return at once instead, by its type; not what its body is already.
pub fn returned(output: &ReturnType, body: &syn::Block) -> Vec<String> {
    let values = match output {
        ReturnType::Default if body.stmts.is_empty() => return Vec::new(),
        ReturnType::Default => vec!["()".to_owned()],
        ReturnType::Type(_, kind) => values(kind),
    };
    values.into_iter().filter(|value| !is_already(body, value)).collect()
}

fn values(kind: &Type) -> Vec<String> {
    let Type::Path(path) = kind else { return Vec::new() };
    let Some(last) = path.path.segments.last() else { return Vec::new() };
    let name = last.ident.to_string();
    let texts = |list: &[&str]| list.iter().map(|t| (*t).to_owned()).collect();
    match name.as_str() {
        "bool" => texts(&["true", "false"]),
        "f64" => texts(&["0.0", "1.0"]),
        "usize" => texts(&["0", "1"]),
        "String" => texts(&["String::new()", "String::from(\"?\")"]),
        "Vec" => texts(&["Vec::new()"]),
        "Option" => {
            let PathArguments::AngleBracketed(inner) = &last.arguments else { return Vec::new() };
            let some = match inner.args.first() {
                Some(GenericArgument::Type(inner)) => values(inner),
                _ => Vec::new(),
            };
            let some = some.into_iter().map(|value| format!("Some({value})"));
            std::iter::once("None".to_owned()).chain(some).collect()
        }
        _ => Vec::new(),
    }
}

/// Whether the body is that value alone.
fn is_already(body: &syn::Block, value: &str) -> bool {
    let [syn::Stmt::Expr(expr, None)] = body.stmts.as_slice() else { return false };
    syn::parse_str::<Expr>(value).is_ok_and(|value| *expr == value)
}
