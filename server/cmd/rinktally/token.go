package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/types/known/durationpb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/errs"
)

// tokens is what the token commands share: whose tokens, and who is asked.
type tokens struct {
	asker

	event string
}

func tokenCommand() *cobra.Command {
	t := &tokens{asker: asker{kept: &kept{}}}
	cmd := &cobra.Command{
		Use:   "token",
		Short: "Make, list and revoke tokens: who may do what in an event",
		Long: "Make, list and revoke tokens. By themselves these commands open the data folder\n" +
			"of a server that does not run, or the database of --store at any time. With\n" +
			"--server they ask a running server, with an organiser's or administrator's token\n" +
			"in the variable " + tokenVariable + ". Without --event they are about the\n" +
			"administrator's tokens, which no server hands out.",
	}
	t.register(cmd)
	cmd.PersistentFlags().StringVar(&t.event, "event", "", "the event; without it the administrator's tokens")
	t.flags(cmd.PersistentFlags())
	cmd.AddCommand(t.create(), t.list(), t.revoke())
	return cmd
}

func (t *tokens) create() *cobra.Command {
	var role, label string
	var judge int32
	var expires time.Duration
	cmd := &cobra.Command{
		Use: "create", Short: "Make a token; it is printed once and cannot be shown again", Args: cobra.NoArgs,
		Example: "  rinktally token create --event spring-cup --role JUDGE --judge 3 --expires 12h",
		RunE: func(cmd *cobra.Command, _ []string) error {
			value, ok := pb.Role_Value_value[strings.ReplaceAll(strings.ToUpper(role), "-", "_")]
			if !ok || value == 0 {
				return fmt.Errorf("--role: %q is no role; allowed are %s", role, strings.Join(roleNames(), ", "))
			}
			req := &pb.CreateTokenRequest{Event: t.event, Role: pb.Role_Value(value), Judge: judge, Label: label}
			if cmd.Flags().Changed("expires") {
				req.Lifetime = durationpb.New(expires)
			}
			if t.event == "" {
				return t.createAdmin(cmd, req)
			}
			return t.ask(cmd, false, func(ctx context.Context, events pb.EventServiceClient) error {
				res, err := events.CreateToken(ctx, req)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintln(cmd.OutOrStdout(), res.GetToken())
				return err
			})
		},
	}
	cmd.Flags().StringVar(&role, "role", "", "what the holder may do: "+strings.Join(roleNames(), ", "))
	cmd.Flags().Int32Var(&judge, "judge", 0, "with JUDGE: the judge's number")
	cmd.Flags().StringVar(&label, "label", "", "who or what it is for, for the list")
	cmd.Flags().DurationVar(&expires, "expires", 0, "how long it holds, such as 12h; without it until it is revoked")
	_ = cmd.MarkFlagRequired("role")
	return cmd
}

// createAdmin makes an administrator's token, at the store only.
func (t *tokens) createAdmin(cmd *cobra.Command, req *pb.CreateTokenRequest) error {
	switch {
	case req.GetRole() != pb.Role_ADMIN:
		return errors.New("--event: say which event the token is for; only ADMIN has none")
	case t.server != "":
		return errNotByServer
	case req.GetLifetime() != nil || req.GetJudge() != 0:
		return errors.New("an administrator's token has no judge and no end; revoke it when it is not needed")
	}
	return t.with(cmd, false, func(ctx context.Context, d *app.Desk) error {
		token, err := d.Book.NewAdminToken(ctx, req.GetLabel())
		if err != nil {
			return told(err)
		}
		_, err = fmt.Fprintln(cmd.OutOrStdout(), token)
		return err
	})
}

var errNotByServer = errors.New("--server: no server hands out or shows the administrator's tokens; use --data, when the server is stopped, or --store")

func (t *tokens) list() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "List tokens, without their secrets", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if t.event == "" {
				if t.server != "" {
					return errNotByServer
				}
				return t.with(cmd, true, func(ctx context.Context, d *app.Desk) error {
					list, err := d.Book.AdminTokens(ctx)
					if err != nil {
						return told(err)
					}
					return printTokens(cmd.OutOrStdout(), list)
				})
			}
			return t.ask(cmd, true, func(ctx context.Context, events pb.EventServiceClient) error {
				res, err := events.ListTokens(ctx, &pb.ListTokensRequest{Event: t.event})
				if err != nil {
					return err
				}
				return printTokens(cmd.OutOrStdout(), res.GetTokens())
			})
		},
	}
}

func (t *tokens) revoke() *cobra.Command {
	return &cobra.Command{
		Use: "revoke ID", Short: "End a token at once", Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			var err error
			switch {
			case t.event == "" && t.server != "":
				return errNotByServer
			case t.event == "":
				err = t.with(cmd, false, func(ctx context.Context, d *app.Desk) error { return told(d.Book.RevokeAdminToken(ctx, args[0])) })
			default:
				err = t.ask(cmd, false, func(ctx context.Context, events pb.EventServiceClient) error {
					_, err := events.RevokeToken(ctx, &pb.RevokeTokenRequest{Event: t.event, Token: args[0]})
					return err
				})
			}
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), "revoked "+args[0])
			return err
		},
	}
}

func printTokens(w io.Writer, list []*pb.TokenInfo) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(table, "ID\tROLE\tSTATE\tLABEL")
	for _, t := range list {
		role, state := t.GetRole().String(), "holds"
		if t.GetJudge() != 0 {
			role += fmt.Sprintf(" %d", t.GetJudge())
		}
		switch end := t.GetExpireTime(); {
		case t.GetRevoked():
			state = "revoked"
		case end != nil && !end.AsTime().After(time.Now()):
			state = "expired " + end.AsTime().Local().Format(time.DateTime)
		case end != nil:
			state = "until " + end.AsTime().Local().Format(time.DateTime)
		}
		_, _ = fmt.Fprintf(table, "%s\t%s\t%s\t%s\n", t.GetId(), role, state, t.GetLabel())
	}
	return table.Flush()
}

func roleNames() []string {
	var names []string
	for number, name := range pb.Role_Value_name {
		if number != 0 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// told returns what an error says to people, without its code.
func told(err error) error {
	if err == nil {
		return nil
	}
	return errors.New(errs.Text(err))
}
