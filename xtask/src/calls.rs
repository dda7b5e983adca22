//! Looks for forbidden calls in one source file.
//!
//! The file is parsed, so comments and strings do not count. Items that exist only under test are
//! left out. What remains is read token by token, macro calls included, and every path is resolved
//! through the file's own `use` lines, so that `use std::time;` and `time::Instant` is found too.

use crate::Fault;
use crate::finding::Finding;
use crate::table::Rule;
use proc_macro2::{Delimiter, Ident, TokenStream, TokenTree};
use quote::ToTokens;
use std::collections::{BTreeSet, HashMap};
use syn::visit::Visit;
use syn::{Attribute, ImplItem, Item, Meta, UseTree};

/// Words of the language after which a path can start with `::`, and that are no part of it.
const BEFORE_A_PATH: [&str; 12] =
    ["use", "as", "in", "return", "impl", "dyn", "mut", "for", "else", "match", "if", "while"];

/// What one file holds that matters to the check.
pub(crate) struct Source {
    pub(crate) findings: Vec<Finding>,
    /// Modules declared here that exist only under test, and live in files of their own: the name,
    /// or the file where a `path` attribute names it.
    pub(crate) test_modules: Vec<String>,
}

/// Checks one file. `krate` is the crate's short name and `never` what it must never know, for the
/// sentences; `place` is the file's path as shown.
pub(crate) fn check_source(
    rules: &[&Rule],
    (krate, never): (&str, &str),
    place: &str,
    text: &str,
) -> Result<Source, Fault> {
    let file = syn::parse_file(text).map_err(|e| format!("{place}: does not parse: {e}"))?;
    let mut names = Names(HashMap::new());
    names.visit_file(&file);
    let mut scan = Scan { rules, names: names.0, hits: BTreeSet::new(), test_modules: Vec::new() };
    scan.attributes(&file.attrs);
    scan.items(&file.items);
    let findings = scan.hits.into_iter().map(|(line, what, reason)| {
        Finding::at_line(
            place,
            line,
            format!("`{krate}` must not use {what}: {reason} (it must never know {never})"),
        )
    });
    Ok(Source { findings: findings.collect(), test_modules: scan.test_modules })
}

/// Short names that the file's `use` lines stand for, those of test modules left out.
struct Names(HashMap<String, Vec<String>>);

impl<'ast> Visit<'ast> for Names {
    fn visit_item(&mut self, item: &'ast Item) {
        if !only_under_test(attributes_of(item)) {
            syn::visit::visit_item(self, item);
        }
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&item.tree, &mut Vec::new());
    }
}

impl Names {
    fn tree(&mut self, tree: &UseTree, prefix: &mut Vec<String>) {
        match tree {
            UseTree::Path(path) => {
                prefix.push(path.ident.to_string());
                self.tree(&path.tree, prefix);
                prefix.pop();
            }
            UseTree::Name(name) => self.name(&name.ident, &name.ident, prefix),
            UseTree::Rename(rename) => self.name(&rename.ident, &rename.rename, prefix),
            UseTree::Group(group) => {
                for tree in &group.items {
                    self.tree(tree, prefix);
                }
            }
            _ => {}
        }
    }

    fn name(&mut self, ident: &Ident, known_as: &Ident, prefix: &[String]) {
        let mut path = prefix.to_vec();
        let mut known_as = known_as.to_string();
        if ident != "self" {
            path.push(ident.to_string());
        } else if known_as == "self" {
            known_as = path.last().cloned().unwrap_or_default();
        }
        self.0.insert(known_as, path);
    }
}

struct Scan<'a> {
    rules: &'a [&'a Rule],
    names: HashMap<String, Vec<String>>,
    /// Line, what was used, and the rule's reason.
    hits: BTreeSet<(usize, String, &'a str)>,
    test_modules: Vec<String>,
}

impl Scan<'_> {
    fn attributes(&mut self, attributes: &[Attribute]) {
        for attribute in attributes {
            self.tokens(attribute.to_token_stream());
        }
    }

    fn items(&mut self, items: &[Item]) {
        for item in items {
            self.item(item);
        }
    }

    fn item(&mut self, item: &Item) {
        if only_under_test(attributes_of(item)) {
            if let Item::Mod(module) = item
                && module.content.is_none()
            {
                self.test_modules.push(file_named(module));
            }
            return;
        }
        match item {
            Item::Mod(module) => {
                self.attributes(&module.attrs);
                if let Some((_, items)) = &module.content {
                    self.items(items);
                }
            }
            Item::Impl(block) => {
                let mut head = block.clone();
                head.items.clear();
                self.tokens(head.to_token_stream());
                for item in &block.items {
                    let attributes = match item {
                        ImplItem::Fn(f) => &f.attrs[..],
                        ImplItem::Const(c) => &c.attrs[..],
                        _ => &[],
                    };
                    if !only_under_test(attributes) {
                        self.tokens(item.to_token_stream());
                    }
                }
            }
            other => self.tokens(other.to_token_stream()),
        }
    }

    fn tokens(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            at = match &tokens[at] {
                TokenTree::Ident(_) => self.word(&tokens, at),
                TokenTree::Group(group) => {
                    self.tokens(group.stream());
                    at + 1
                }
                TokenTree::Literal(literal) => {
                    self.number(&literal.to_string(), literal.span().start().line);
                    at + 1
                }
                TokenTree::Punct(_) => at + 1,
            };
        }
    }

    /// Handles the word at `at`, with the path that it may start; returns where to go on.
    fn word(&mut self, tokens: &[TokenTree], at: usize) -> usize {
        let line = tokens[at].span().start().line;
        let first = tokens[at].to_string();
        if at > 0 && is_punct(&tokens[at - 1], '.') {
            // A method or a field; the range `0..x` is no such thing but names no path either.
            self.method(&first, line);
            return at + 1;
        }
        if BEFORE_A_PATH.contains(&first.as_str()) {
            return at + 1;
        }
        let mut path = vec![first];
        let next = self.path(&mut path, tokens, at + 1);
        let called = tokens.get(next).is_some_and(|t| is_punct(t, '!'))
            && matches!(tokens.get(next + 1), Some(TokenTree::Group(_)));
        if called {
            self.macro_call(&path, line);
        }
        next
    }

    /// Follows `:: word`, `:: { tree }` and `:: *` from `at` on; returns where the path ends.
    fn path(&mut self, path: &mut Vec<String>, tokens: &[TokenTree], mut at: usize) -> usize {
        let start_line = tokens[at - 1].span().start().line;
        while tokens.get(at).is_some_and(|t| is_punct(t, ':'))
            && tokens.get(at + 1).is_some_and(|t| is_punct(t, ':'))
        {
            match tokens.get(at + 2) {
                Some(TokenTree::Ident(word)) => {
                    path.push(word.to_string());
                    at += 3;
                }
                Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                    self.tree(path, group.stream());
                    return at + 3;
                }
                Some(token) if is_punct(token, '*') => {
                    self.whole_of(path, start_line);
                    return at + 3;
                }
                // A turbofish: the path is over, what is in it is read on its own.
                _ => break,
            }
        }
        self.named(path, start_line);
        at
    }

    /// The braces of `use a::{b, c::d}`: every branch with the prefix before it.
    fn tree(&mut self, prefix: &[String], tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        for branch in tokens.split(|t| is_punct(t, ',')) {
            let mut path = prefix.to_vec();
            match branch.first() {
                Some(TokenTree::Ident(word)) => {
                    if word != "self" {
                        path.push(word.to_string());
                    }
                    self.path(&mut path, branch, 1);
                }
                Some(token) if is_punct(token, '*') => {
                    self.whole_of(&path, token.span().start().line);
                }
                _ => {}
            }
        }
    }

    fn named(&mut self, path: &[String], line: usize) {
        let full = self.resolve(path);
        for rule in self.rules {
            for forbidden in &rule.paths {
                // A lone word is a local name, not the crate of that name.
                if full.len() > 1 && starts_with(&full, &split(forbidden)) {
                    self.hits.insert((line, format!("`{}`", full.join("::")), &rule.reason));
                }
            }
        }
    }

    /// `use path::*` brings in whatever is below the path.
    fn whole_of(&mut self, path: &[String], line: usize) {
        self.named(path, line);
        let full = self.resolve(path);
        for rule in self.rules {
            for forbidden in &rule.paths {
                let forbidden = split(forbidden);
                if forbidden.len() > full.len() && starts_with(&forbidden, &full) {
                    let what = format!(
                        "`{}::*`, which brings in `{}`",
                        full.join("::"),
                        forbidden.join("::")
                    );
                    self.hits.insert((line, what, &rule.reason));
                }
            }
        }
    }

    fn macro_call(&mut self, path: &[String], line: usize) {
        let name = path.last().map_or("", String::as_str);
        for rule in self.rules {
            if rule.macros.iter().any(|m| m == name) {
                self.hits.insert((line, format!("`{name}!`"), &rule.reason));
            }
        }
    }

    fn method(&mut self, name: &str, line: usize) {
        for rule in self.rules {
            if rule.methods.iter().any(|m| m == name) {
                self.hits.insert((line, format!("`.{name}()`"), &rule.reason));
            }
        }
    }

    fn number(&mut self, literal: &str, line: usize) {
        let digits: String = literal.chars().filter(|c| *c != '_').collect();
        let end = digits.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(digits.len());
        let Ok(value) = digits[..end].parse::<f64>() else { return };
        for rule in self.rules {
            if rule.numbers.iter().any(|n| *n as f64 == value) {
                self.hits.insert((line, format!("the number {literal}"), &rule.reason));
            }
        }
    }

    /// The path with its first word replaced by what a `use` line says it stands for.
    fn resolve(&self, path: &[String]) -> Vec<String> {
        let mut full = match path.first().and_then(|first| self.names.get(first)) {
            Some(stands_for) => stands_for.iter().chain(&path[1..]).cloned().collect(),
            None => path.to_vec(),
        };
        if let Some(first) = full.first_mut()
            && (first == "core" || first == "alloc")
        {
            *first = "std".to_owned();
        }
        full
    }
}

fn split(path: &str) -> Vec<String> {
    path.split("::").map(str::to_owned).collect()
}

fn starts_with(path: &[String], prefix: &[String]) -> bool {
    path.len() >= prefix.len() && path.iter().zip(prefix).all(|(a, b)| a == b)
}

fn is_punct(token: &TokenTree, c: char) -> bool {
    matches!(token, TokenTree::Punct(p) if p.as_char() == c)
}

/// The file of `mod name;`: its name, or what a `path` attribute says.
fn file_named(module: &syn::ItemMod) -> String {
    for attribute in &module.attrs {
        if attribute.path().is_ident("path")
            && let Meta::NameValue(pair) = &attribute.meta
            && let syn::Expr::Lit(value) = &pair.value
            && let syn::Lit::Str(file) = &value.lit
        {
            return file.value();
        }
    }
    module.ident.to_string()
}

/// Whether an item with these attributes exists only under test.
fn only_under_test(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("test")
            || attribute.path().is_ident("cfg")
                && attribute.parse_args::<Meta>().is_ok_and(|condition| needs_test(&condition))
    })
}

/// Whether a `cfg` condition holds only where `test` does.
fn needs_test(condition: &Meta) -> bool {
    match condition {
        Meta::Path(path) => path.is_ident("test"),
        Meta::List(list) => {
            let parts = list
                .parse_args_with(
                    syn::punctuated::Punctuated::<Meta, syn::Token![,]>::parse_terminated,
                )
                .unwrap_or_default();
            if list.path.is_ident("all") {
                parts.iter().any(needs_test)
            } else if list.path.is_ident("any") {
                !parts.is_empty() && parts.iter().all(needs_test)
            } else {
                false
            }
        }
        Meta::NameValue(_) => false,
    }
}

fn attributes_of(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(i) => &i.attrs,
        Item::Enum(i) => &i.attrs,
        Item::ExternCrate(i) => &i.attrs,
        Item::Fn(i) => &i.attrs,
        Item::Impl(i) => &i.attrs,
        Item::Macro(i) => &i.attrs,
        Item::Mod(i) => &i.attrs,
        Item::Static(i) => &i.attrs,
        Item::Struct(i) => &i.attrs,
        Item::Trait(i) => &i.attrs,
        Item::Type(i) => &i.attrs,
        Item::Use(i) => &i.attrs,
        _ => &[],
    }
}

#[cfg(test)]
mod tests;
