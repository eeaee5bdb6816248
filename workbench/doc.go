// Package workbench serves one job to a browser: the floor plan with its points and findings, a passport for everything
// that has a name, schedules, behaviour text, papers and log. It reads only; editing comes on the same seams.
//
// A request passes the guard (host, origin, token), finds its page by its address, and the page asks package job for a
// view of the newest revision, which holds everything that follows from it. Pages are html/template over that view; no
// handler decides anything of the trade. A handler, a template and an address go by the same name. Every page is whole
// without script: what the plan's one small script does smoothly (zoom, move, walk from symbol to symbol) is also there
// as links, because each section of the plan has an address of its own.
//
// The server is for the person at this machine. It listens on the loopback network, knows its own name, and wants a
// token that is made anew at each start: it stands in the address that the command prints, and goes into a cookie that
// scripts cannot read and other sites cannot send. The content policy allows no inline script or style at all.
//
// Sources: RFC 6265bis (cookies, SameSite), RFC 9110 (methods, Host), W3C Content Security Policy Level 3 and Fetch
// Metadata, WCAG 2.2 level AA. The typeface is IBM Plex Sans under the SIL Open Font License, which stands beside it.
package workbench
