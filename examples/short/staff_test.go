package short_test

import (
	"fmt"
	"html/template"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
)

var page = template.Must(template.New("page").Parse("<h1>{{.Title}}</h1>\n{{range .Staves}}<figure>{{.}}</figure>\n{{end}}"))

// One staff in an HTML template.
func Example_staff() {
	viola, err := drill.Find("viola", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("5 2 b3:2 1"), Route: cycle.MustParse("A4").Open(), Parts: []drill.Instrument{viola},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	layout, err := staff.New(score, score.Parts()[0], staff.Options{Paper: staff.Paper{Width: 160, Height: 100}, Bars: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	data := struct {
		Title  string
		Staves []template.HTML
	}{Title: "In " + d.Settings().Figure.Scale().String()}
	for system := range layout.Systems() {
		var svg strings.Builder
		if err := system.WriteSVG(&svg); err != nil {
			fmt.Println(err)
		}
		data.Staves = append(data.Staves, template.HTML(svg.String())) // its text is escaped
	}
	var out strings.Builder
	err = page.Execute(&out, data)
	fmt.Println(strings.Count(out.String(), "<svg"), "staff,", strings.Contains(out.String(), "<h1>In major</h1>"), err)
	// Output:
	// 1 staff, true <nil>
}
