package main

import "github.com/spf13/cobra"

func (e *edge) floorCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "floor",
		Short: "See all live services: who needs hands next, and what collides",
		Long: "Floor shows all services that are live in the salon, the one that needs hands next on top: what to do,\n" +
			"for whom, by when, and what collides on one pair of hands. Enter goes to a client: the service is run\n" +
			"here if nobody runs it, else it is watched. From any chair, w goes to the same screen and back.",
		Args: noArg,
		RunE: func(*cobra.Command, []string) error {
			st, err := e.store()
			if err != nil {
				return err
			}
			o := e.options()
			o.Store, o.Floor = st, true
			return e.show(o)
		},
	}
}
