; The floor in whole time units from now, written independently of the planner.
; A task is the moment of its start. What follows an instance of this model is
; one line for each task, each two tasks of one worker and each link.
(set-logic QF_IDL)

; hands do one of two tasks after the other, in either order
(define-fun apart ((a Int) (takesA Int) (b Int) (takesB Int)) Bool
  (or (<= (- a b) (- takesA)) (<= (- b a) (- takesB))))

; the second task of a chain waits for the end of the first
(define-fun follows ((a Int) (takesA Int) (b Int)) Bool (<= (- a b) (- takesA)))

; waits of links
(define-fun at-least ((from Int) (to Int) (least Int)) Bool (<= (- from to) (- least)))
(define-fun at-most ((from Int) (to Int) (most Int)) Bool (<= (- to from) most))

(declare-const now Int)
