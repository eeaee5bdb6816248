package check

import (
	"cmp"
	"embed"
	"slices"
	"strings"
)

// examples holds a bad and a mended house for each rule, in the text form of package house.
//
//go:embed example/*.yaml
var examples embed.FS

// allRules lists every rule, sorted by slug, without its examples.
func allRules() []Rule {
	list := slices.Concat(placeRules, landingRules, channelRules, derateRules, motorRules, busRules, supplyRules, voltageRules(), layoutRules(), signalRules(), boardRules, boardRowRules, heatRules,
		circuitRules, protectionRules, residualRules, demandRules, radioRules, routeRules, addressRules)
	slices.SortFunc(list, func(a, b Rule) int { return cmp.Compare(a.Slug, b.Slug) })
	return list
}

// Rules lists every rule that Check applies, sorted by slug.
func Rules() []Rule {
	list := allRules()
	for i := range list {
		list[i].Bad, list[i].Mended = example(list[i].Slug, "bad"), example(list[i].Slug, "mended")
	}
	return list
}

// example reads one example of a rule; "" where there is none, which a test refuses.
func example(slug, which string) string {
	text, err := examples.ReadFile("example/" + strings.ReplaceAll(slug, "/", ".") + "." + which + ".yaml")
	if err != nil {
		return ""
	}
	return string(text)
}

// Slugs lists the slugs of all rules, sorted.
func Slugs() []string {
	list := allRules()
	slugs := make([]string, len(list))
	for i, r := range list {
		slugs[i] = r.Slug
	}
	return slugs
}
