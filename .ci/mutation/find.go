package main

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
)

// The operators, in the order of the table.
const (
	arithmetic = "arithmetic"
	comparison = "comparison"
	logic      = "logic"
	constants  = "constant"
	condition  = "condition"
	cases      = "case"
	statement  = "statement"
	returns    = "return"
)

var operators = [...]string{arithmetic, comparison, logic, constants, condition, cases, statement, returns}

// A mutant is one change in one function.
type mutant struct {
	operator string
	source   int           // which file
	function *ast.FuncDecl // which function of it
	from, to int           // the bytes of the file that are replaced
	text     string        // by what
	change   string        // what the reader is shown
	line     string        // the line of the source where it stands
	position token.Position
	stack    []ast.Node // the nodes around the change, the nearest last
	reason   string     // why it is equivalent, if it is listed
	number   int        // in the binary, from 1
	quick    []string   // the quick tests, if one of them comes here
	slow     []string   // the slow tests that come here
	fate     fate
}

// swaps are the operators that take each other's places.
var swaps = map[token.Token]struct {
	to       token.Token
	operator string
}{
	token.ADD: {token.SUB, arithmetic}, token.SUB: {token.ADD, arithmetic},
	token.MUL: {token.QUO, arithmetic}, token.QUO: {token.MUL, arithmetic}, token.REM: {token.MUL, arithmetic},
	token.AND: {token.OR, arithmetic}, token.OR: {token.AND, arithmetic},
	token.XOR: {token.AND, arithmetic}, token.AND_NOT: {token.AND, arithmetic},
	token.SHL: {token.SHR, arithmetic}, token.SHR: {token.SHL, arithmetic},
	token.ADD_ASSIGN: {token.SUB_ASSIGN, arithmetic}, token.SUB_ASSIGN: {token.ADD_ASSIGN, arithmetic},
	token.MUL_ASSIGN: {token.QUO_ASSIGN, arithmetic}, token.QUO_ASSIGN: {token.MUL_ASSIGN, arithmetic},
	token.REM_ASSIGN: {token.MUL_ASSIGN, arithmetic},
	token.AND_ASSIGN: {token.OR_ASSIGN, arithmetic}, token.OR_ASSIGN: {token.AND_ASSIGN, arithmetic},
	token.XOR_ASSIGN: {token.AND_ASSIGN, arithmetic}, token.AND_NOT_ASSIGN: {token.AND_ASSIGN, arithmetic},
	token.SHL_ASSIGN: {token.SHR_ASSIGN, arithmetic}, token.SHR_ASSIGN: {token.SHL_ASSIGN, arithmetic},
	token.INC: {token.DEC, arithmetic}, token.DEC: {token.INC, arithmetic},
	token.LSS: {token.LEQ, comparison}, token.LEQ: {token.LSS, comparison},
	token.GTR: {token.GEQ, comparison}, token.GEQ: {token.GTR, comparison},
	token.EQL: {token.NEQ, comparison}, token.NEQ: {token.EQL, comparison},
	token.LAND: {token.LOR, logic}, token.LOR: {token.LAND, logic},
}

// findMutants fills the package's list with all changes that compile.
func (p *pkg) findMutants() error {
	for n, s := range p.sources {
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Body != nil && f.Name.Name != "_" {
				(&finder{p: p, source: n, function: f}).walk(f.Body)
			}
		}
	}
	slices.SortStableFunc(p.mutants, func(a, b *mutant) int {
		return cmp.Or(cmp.Compare(a.source, b.source), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	p.number()
	if err := p.dropUncompilable(); err != nil {
		return err
	}
	p.describe()
	return nil
}

func (p *pkg) number() {
	for n, m := range p.mutants {
		m.number = n + 1
	}
}

// takeSample keeps so many mutants, drawn from the seed.
func (p *pkg) takeSample(size int, seed uint64) {
	if size > 0 && size < len(p.mutants) {
		kept := map[int]bool{}
		for _, n := range rand.New(rand.NewPCG(seed, 0)).Perm(len(p.mutants))[:size] {
			kept[n+1] = true
		}
		p.mutants = slices.DeleteFunc(p.mutants, func(m *mutant) bool { return !kept[m.number] })
	}
	p.number()
}

// A finder walks through one function.
type finder struct {
	p        *pkg
	source   int
	function *ast.FuncDecl
	stack    []ast.Node
}

func (f *finder) offset(pos token.Pos) int { return f.p.fset.Position(pos).Offset }

func (f *finder) text(n ast.Node) string {
	return string(f.p.sources[f.source].text[f.offset(n.Pos()):f.offset(n.End())])
}

// add notes a mutant that replaces the source between two places.
func (f *finder) add(operator string, from, to token.Pos, text string) {
	s := f.p.sources[f.source]
	m := &mutant{
		operator: operator, source: f.source, function: f.function, from: f.offset(from), to: f.offset(to), text: text,
		position: f.p.fset.Position(from), stack: slices.Clone(f.stack),
	}
	line := m.from - m.position.Column + 1
	text, _, _ = strings.Cut(string(s.text[line:]), "\n")
	m.line = strings.TrimSpace(text)
	f.p.mutants = append(f.p.mutants, m)
}

func (f *finder) replace(operator string, n ast.Node, text string) {
	f.add(operator, n.Pos(), n.End(), text)
}

func (f *finder) walk(body ast.Node) {
	ast.Inspect(body, func(n ast.Node) bool {
		if n == nil {
			f.stack = f.stack[:len(f.stack)-1]
			return true
		}
		if a, ok := n.(*ast.ArrayType); ok {
			f.nested(a.Elt) // and not its length
			return false
		}
		if c, ok := n.(*ast.CallExpr); ok && len(c.Args) == 3 && f.text(c.Fun) == "make" {
			f.nested(c.Args[1]) // and not its capacity
			return false
		}
		f.stack = append(f.stack, n)
		if s, ok := n.(*ast.SelectorExpr); ok {
			f.constant(s, s.Sel)
			f.nested(s.X)
			f.stack = f.stack[:len(f.stack)-1]
			return false
		}
		f.node(n)
		return true
	})
}

// nested walks through part of a node that the walk itself passes over.
func (f *finder) nested(n ast.Node) {
	inner := *f
	inner.stack = slices.Clone(f.stack)
	inner.walk(n)
}

func (f *finder) node(n ast.Node) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if swap, ok := swaps[n.Op]; ok && !(n.Op == token.SHL && f.text(n.Y) == "0") {
			f.replace(swap.operator, n, "("+f.operand(n.X)+" "+swap.to.String()+" "+f.operand(n.Y)+")")
		}
	case *ast.UnaryExpr:
		switch n.Op {
		case token.SUB, token.XOR:
			f.replace(arithmetic, n, "("+f.text(n.X)+")")
		case token.NOT:
			f.replace(logic, n, "("+f.text(n.X)+")")
		}
	case *ast.BasicLit:
		f.literal(n)
	case *ast.Ident:
		f.constant(n, n)
	case *ast.IncDecStmt:
		f.add(arithmetic, n.TokPos, n.TokPos+2, swaps[n.Tok].to.String())
	case *ast.AssignStmt:
		if swap, ok := swaps[n.Tok]; ok {
			f.add(arithmetic, n.TokPos, n.TokPos+token.Pos(len(n.Tok.String())), swap.to.String())
		}
	case *ast.IfStmt:
		f.negate(n.Cond)
	case *ast.ForStmt:
		f.negate(n.Cond)
	case *ast.SwitchStmt:
		f.clauses(n.Body, n.Tag == nil)
	case *ast.TypeSwitchStmt:
		f.clauses(n.Body, false)
	case *ast.BlockStmt:
		f.statements(n.List)
	case *ast.CaseClause:
		f.statements(n.Body)
	case *ast.CommClause:
		f.statements(n.Body)
	}
}

// operand returns the text of an operand, in parentheses if it needs them.
func (f *finder) operand(n ast.Expr) string {
	if _, ok := n.(*ast.BinaryExpr); ok {
		return "(" + f.text(n) + ")"
	}
	return f.text(n)
}

func (f *finder) literal(n *ast.BasicLit) {
	switch n.Kind {
	case token.INT:
		if v, err := strconv.Atoi(n.Value); err == nil {
			f.replace(constants, n, strconv.Itoa(v+1))
			if v == 0 {
				f.replace(constants, n, "(-1)")
			} else {
				f.replace(constants, n, strconv.Itoa(v-1))
			}
			return
		}
		fallthrough
	case token.FLOAT, token.CHAR:
		f.replace(constants, n, "("+n.Value+" + 1)")
		f.replace(constants, n, "("+n.Value+" - 1)")
	}
}

// constant adds the mutants of a use of a named constant, which may stand in
// another package.
func (f *finder) constant(n ast.Expr, name *ast.Ident) {
	c, ok := f.p.info.Uses[name].(*types.Const)
	if !ok {
		return
	}
	switch c.Val().Kind() {
	case constant.Bool:
		f.replace(constants, n, strconv.FormatBool(!constant.BoolVal(c.Val())))
	case constant.Int, constant.Float:
		f.replace(constants, n, "("+f.text(n)+" + 1)")
		f.replace(constants, n, "("+f.text(n)+" - 1)")
	}
}

// negate adds a condition negated, unless another operator does that.
func (f *finder) negate(cond ast.Expr) {
	switch c := cond.(type) {
	case nil:
		return
	case *ast.BinaryExpr:
		if c.Op == token.EQL || c.Op == token.NEQ {
			return
		}
	case *ast.UnaryExpr:
		if c.Op == token.NOT {
			return
		}
	}
	f.stack = append(f.stack, cond)
	f.replace(condition, cond, "!("+f.text(cond)+")")
	f.stack = f.stack[:len(f.stack)-1]
}

// clauses drops the clauses of a switch, and the values of a clause that has
// several.
func (f *finder) clauses(body *ast.BlockStmt, conditions bool) {
	for _, s := range body.List {
		c := s.(*ast.CaseClause)
		f.replace(cases, c, "")
		if conditions {
			for _, e := range c.List {
				f.negate(e)
			}
		}
		if len(c.List) < 2 {
			continue
		}
		for k, e := range c.List {
			if k+1 < len(c.List) {
				f.add(cases, e.Pos(), c.List[k+1].Pos(), "")
			} else {
				f.add(cases, c.List[k-1].End(), e.End(), "")
			}
		}
	}
}

func (f *finder) statements(list []ast.Stmt) {
	for _, s := range list {
		switch s := s.(type) {
		case *ast.ReturnStmt:
			f.replace(returns, s, "")
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE {
				f.replace(statement, s, "")
			}
		case *ast.ExprStmt, *ast.IncDecStmt, *ast.BranchStmt, *ast.DeferStmt, *ast.GoStmt, *ast.SendStmt:
			f.replace(statement, s, "")
		}
	}
}

// describe writes how each change reads. A bare number is shown in the
// expression around it, and what would read as another change of the same line
// in a wider one.
func (p *pkg) describe() {
	for _, m := range p.mutants {
		if m.text == "" {
			m.change = short(string(p.sources[m.source].text[m.from:m.to])) + " → (dropped)"
			continue
		}
		m.change = p.show(m)
		if m.operator == constants {
			p.widen(m)
		}
	}
	for range 8 {
		same := map[string][]*mutant{}
		for _, m := range p.mutants {
			key := m.key()
			same[key] = append(same[key], m)
		}
		for _, ms := range same {
			for _, m := range ms {
				if len(ms) > 1 && m.text != "" {
					p.widen(m)
				}
			}
		}
	}
}

// widen shows the change in the next wider expression or statement.
func (p *pkg) widen(m *mutant) {
	if len(m.stack) < 2 {
		return
	}
	outer := m.stack[len(m.stack)-2]
	switch outer.(type) {
	case *ast.BlockStmt, *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt, *ast.SwitchStmt, *ast.CaseClause, *ast.FuncLit:
		return
	}
	m.stack = m.stack[:len(m.stack)-1]
	m.change = p.show(m)
}

// show returns the change in the nearest of the nodes around it.
func (p *pkg) show(m *mutant) string {
	text := p.sources[m.source].text
	around := m.stack[len(m.stack)-1]
	from, to := p.fset.Position(around.Pos()).Offset, p.fset.Position(around.End()).Offset
	before, after := []rune(string(text[min(from, m.from):m.from])), []rune(string(text[m.to:max(to, m.to)]))
	replaced := m.text
	if len(before)+len(after) == 0 && strings.HasPrefix(replaced, "(") {
		replaced = replaced[1 : len(replaced)-1]
	}
	const most = 40 // of either
	left, right := string(before), string(after)
	if n := len(before); n > most {
		left = "…" + string(before[n-most:])
	}
	if len(after) > most {
		right = string(after[:most]) + "…"
	}
	return oneLine(left+string(text[m.from:m.to])+right) + " → " + oneLine(left+replaced+right)
}

// oneLine returns code on one line.
func oneLine(code string) string { return strings.Join(strings.Fields(code), " ") }

// short returns code on one line, cut where it is long.
func short(code string) string {
	code = oneLine(code)
	if r := []rune(code); len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return code
}

// key is what an entry in the list of equivalent mutants says.
func (m *mutant) key() string {
	return fmt.Sprintf("%s %s\n%s\n%s", m.position.Filename, functionName(m.function), m.line, m.change)
}

// functionName returns the name of a function, a method with its type.
func functionName(f *ast.FuncDecl) string {
	if f.Recv == nil {
		return f.Name.Name
	}
	t := f.Recv.List[0].Type
	for {
		switch x := t.(type) {
		case *ast.StarExpr:
			t = x.X
		case *ast.IndexExpr:
			t = x.X
		case *ast.IndexListExpr:
			t = x.X
		case *ast.Ident:
			return x.Name + "." + f.Name.Name
		default:
			return f.Name.Name
		}
	}
}
