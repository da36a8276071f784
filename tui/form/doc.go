// Package form has the questions that open over the chair: a new service, the
// consultation, a bowl, a window, a check, and what else has to be typed or
// chosen before it can be logged.
//
// Each is a [Form], made by a function that is given plain data and, where it
// matters, the time. A form asks, checks what is typed while it is typed, and
// answers with an intent; it logs nothing by itself, and the rules of a
// service stay with session.Decide, whose refusal [Form.Refuse] shows.
//
// A form that was left with esc, or that was refused, keeps what was typed: a
// caller that opens the same form again should keep the instance.
//
// Text from people is cleaned before it is shown as a label or a choice. What
// is typed goes into events as it is, save that characters which nobody could
// see in the field are not taken.
package form
