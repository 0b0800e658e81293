// Package export writes a plan in one form per file: a screen, a printable
// page, a calendar, a table and data for scripts. Nothing is computed here that
// the plan does not hold, and a part the plan lacks is left out. No form reads a
// clock: a form that needs the present instant is given it.
package export
