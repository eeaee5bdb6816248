package job

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/netip"
	"os"
	"sync"
	"time"

	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/house"
	"wirewright/site"
	"wirewright/site/field/dnssd"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
	"wirewright/store"
	"wirewright/virtual"
)

// Commissioning is the report of the commission stage.
type Commissioning struct {
	Rev         store.Rev `json:"revision"`
	Controllers int       `json:"controllers"`
	Enrolled    int       `json:"enrolled"`
	Matched     int       `json:"matched"`
	Epoch       uint32    `json:"epoch"`
	Attested    int       `json:"attested"` // run what the design wants
	Trial       Trial     `json:"trial"`
	Tasks       []string  `json:"tasks"` // what is still to do; empty when all is done
	Seconds     float64   `json:"seconds"`
}

// Good tells whether the list is empty and no test failed.
func (c Commissioning) Good() bool {
	return c.Attested == c.Controllers && c.Trial.Good()
}

// Lines implements Report.
func (c Commissioning) Lines() []string {
	list := []string{fmt.Sprintf("%s: %d enrolled, %d found and matched, epoch %d loaded, %d attested", plural(c.Controllers, "controller", "controllers"), c.Enrolled, c.Matched, c.Epoch, c.Attested)}
	list = append(list, c.Trial.Lines()...)
	if len(c.Tasks) == 0 {
		return append(list, "nothing is left to do on site")
	}
	list = append(list, plural(len(c.Tasks), "task is left:", "tasks are left:"))
	for _, t := range c.Tasks[:min(len(c.Tasks), 12)] {
		list = append(list, "  "+t)
	}
	return list
}

// CommissionOptions say how to commission.
type CommissionOptions struct {
	Key  Keyhole
	Only []string // words that choose tests; all where empty
	Dir  string   // where software modules keep what they know; a temporary folder where empty
	Rand io.Reader
}

// errNoKey and its sisters are what commissioning needs.
var errNoKey = errors.New("the job's secrets need a key")

// CommissionVirtual commissions the house against software modules: one process a controller on addresses of the
// loopback network, in set-up mode first, then found, loaded, attested and tried with the same tests as in rehearsal.
// The modules end when it returns.
func (j *Job) CommissionVirtual(ctx context.Context, o CommissionOptions) (Commissioning, error) {
	begun := j.opt.Now()
	if err := j.unlock(ctx, o.Key); err != nil {
		return Commissioning{}, err
	}
	if o.Rand == nil {
		o.Rand = rand.Reader
	}
	if o.Dir == "" {
		dir, err := os.MkdirTemp("", "wirewright-modules-")
		if err != nil {
			return Commissioning{}, &Error{Kind: Failed, Err: err}
		}
		defer os.RemoveAll(dir)
		o.Dir = dir
	}
	v, err := j.visit(ctx, o)
	if err != nil {
		return Commissioning{}, err
	}
	defer v.close()
	steps := []func() error{v.enrol, v.find, v.record, v.load, v.try}
	for _, step := range steps {
		if err := step(); err != nil {
			return v.report, err
		}
	}
	v.finish()
	v.report.Seconds = j.opt.Now().Sub(begun).Seconds()
	return v.report, j.save(ctx, "commission", v.report.Rev, v.report)
}

// visit is one commissioning under way.
type visit struct {
	ctx      context.Context
	job      *Job
	o        CommissionOptions
	compiled *behaviour.Compiled
	plan     *site.Plan
	secrets  sealed
	broker   *mqtt.Broker
	fleet    *virtual.Fleet
	link     *site.Link
	journal  *journal
	pages    map[string]string
	standing site.Standing
	report   Commissioning
}

// visit compiles the house, opens the broker and starts the software modules.
func (j *Job) visit(ctx context.Context, o CommissionOptions) (*visit, error) {
	c, rev, err := j.Compile(ctx)
	if err != nil {
		return nil, err
	}
	v := &visit{ctx: ctx, job: j, o: o, compiled: c, secrets: sealed{ctx, j.store}, pages: map[string]string{}, report: Commissioning{Rev: rev}}
	if v.plan, err = site.NewPlan(c.House, j.cat, c, ""); err != nil {
		return nil, &Error{Kind: Invalid, Err: err}
	}
	v.report.Controllers = len(v.plan.Controllers)
	v.journal = &journal{ctx: ctx, store: j.store, now: j.opt.Now}
	if err := v.open(); err != nil {
		v.close()
		return nil, &Error{Kind: Failed, Subject: "virtual site", Err: err}
	}
	return v, nil
}

func (v *visit) open() error {
	accounts, err := site.NewAccounts(v.plan, v.secrets, v.o.Rand)
	if err != nil {
		return err
	}
	if v.broker, err = mqtt.StartBroker(mqtt.BrokerOptions{House: v.plan.House, Accounts: accounts}); err != nil {
		return err
	}
	v.plan.Broker = v.broker.Address()
	v.job.progress("commission", 0, 0, "starting %s", plural(len(v.plan.Controllers), "software module", "software modules"))
	configs, err := virtual.Configs(v.plan, v.compiled.House, v.job.cat, v.o.Dir)
	if err != nil {
		return err
	}
	if v.fleet, err = virtual.Launch(v.ctx, virtual.FleetOptions{Modules: configs}); err != nil {
		return err
	}
	for i, m := range v.fleet.Members() {
		v.pages[v.plan.Controllers[i].ID] = m.Page()
	}
	return nil
}

func (v *visit) close() {
	if v.link != nil {
		v.link.Close()
	}
	if v.fleet != nil {
		v.fleet.Close()
	}
	if v.broker != nil {
		v.broker.Close()
	}
	v.journal.flush()
}

// tell passes the steps of package site on as progress.
func (v *visit) tell(s site.Step) {
	v.job.progress("commission", s.Done, s.All, "%s %s", s.Act, s.Controller)
}

// enrol gives every module its network, name and secret.
func (v *visit) enrol() error {
	if _, err := v.secrets.Open("network"); errors.Is(err, site.ErrNoSecret) {
		password, err := site.NewSecret(v.o.Rand, site.SecretLength)
		if err == nil {
			err = site.SetNetwork(v.secrets, password)
		}
		if err != nil {
			return &Error{Kind: Failed, Subject: "network", Err: err}
		}
	} else if err != nil {
		return err
	}
	devices, err := site.EnrolAll(v.ctx, v.pages, site.EnrolOptions{Plan: v.plan, Secrets: v.secrets, Random: v.o.Rand}, v.tell)
	v.report.Enrolled = len(devices)
	if err != nil {
		return &Error{Kind: Failed, Subject: "enrol", Err: err}
	}
	return nil
}

// find looks for every controller and matches what answers to the plan.
func (v *visit) find() error {
	loopback, err := dnssd.Interface(netip.MustParseAddr("127.0.0.1"))
	if err != nil {
		return &Error{Kind: Failed, Subject: "hail", Err: err}
	}
	v.standing.Hailed, err = site.Hail(v.ctx, site.HailOptions{Plan: v.plan, Interface: loopback, Limit: 20 * time.Second, Tell: v.tell})
	if err != nil {
		return &Error{Kind: Failed, Subject: "hail", Err: err}
	}
	for _, h := range v.standing.Hailed {
		if h.Finding == site.Matched {
			v.report.Matched++
		}
	}
	return nil
}

// record writes the identity of every device into the house: from now on that very device is meant.
func (v *visit) record() error {
	hardware := map[house.ID]string{}
	for _, h := range v.standing.Hailed {
		if h.Finding == site.Matched {
			hardware[house.ID(h.Controller)] = h.Device.Hardware
		}
	}
	h, rev, err := v.job.Head(v.ctx)
	if err != nil {
		return err
	}
	after := *h
	after.Modules = append([]house.Module(nil), h.Modules...)
	for i := range after.Modules {
		if id := hardware[after.Modules[i].ID]; id != "" {
			after.Modules[i].Hardware = id
		}
	}
	v.report.Rev, err = v.job.become(v.ctx, rev, h, &after, "record the devices that were enrolled")
	return err
}

// load puts the programs on all controllers or on none, and reads back what each runs.
func (v *visit) load() error {
	var err error
	v.link, err = site.Connect(v.ctx, site.LinkOptions{Plan: v.plan, Secrets: v.secrets, Journal: v.journal})
	if err == nil {
		err = site.AwaitAll(v.ctx, v.link, 30*time.Second)
	}
	if err == nil {
		err = v.link.SetPlace(v.ctx)
	}
	if err == nil {
		v.report.Epoch, err = site.Load(v.ctx, v.link, v.tell)
	}
	if err != nil {
		return &Error{Kind: Failed, Subject: "load", Err: err}
	}
	v.standing.Attested = site.Attest(v.ctx, v.link, v.tell)
	for i := range v.standing.Attested {
		v.report.Attested += btoi(v.standing.Attested[i].Good())
	}
	return nil
}

// try runs the acceptance tests on the live side and keeps each as evidence.
func (v *visit) try() error {
	list, err := tests(v.compiled)
	if err != nil {
		return err
	}
	hand := v.fleet.Hand()
	world := site.NewWorld(v.ctx, v.link, hand)
	t := Trial{Rev: v.report.Rev, Where: "site", When: v.job.opt.Now(), Programs: programsDigest(v.compiled)}
	t.Results = accept.Run(v.ctx, chosen(list, v.o.Only), world, func(done, of int, r accept.Result) {
		v.job.progress("try", done, of, "%s: %s", r.Outcome, r.Test)
	})
	v.report.Trial = t
	v.standing.Tried = map[string]site.TryResult{}
	for _, r := range t.Results {
		v.standing.Tests = append(v.standing.Tests, r.Test)
		if r.Outcome != accept.NotTried {
			v.standing.Tried[r.Test] = site.TryResult{Epoch: v.report.Epoch, Passed: r.Outcome == accept.Passed}
		}
		e := store.Evidence{Who: v.job.opt.Who, Rev: v.report.Rev, Source: store.Simulated, What: "acceptance: " + r.Test, Value: string(r.Outcome), Note: "virtual site. " + r.Text}
		if _, err := v.job.store.AddEvidence(v.ctx, e, nil); err != nil {
			return err
		}
	}
	return v.job.save(v.ctx, "try", v.report.Rev, t)
}

// finish lists what is still to do.
func (v *visit) finish() {
	v.standing.Sealed = map[string]bool{}
	for i := range v.plan.Controllers {
		id := v.plan.Controllers[i].ID
		_, err := v.secrets.Open("module/" + id)
		v.standing.Sealed[id] = err == nil
	}
	for _, t := range site.Tasks(v.plan, &v.standing) {
		v.report.Tasks = append(v.report.Tasks, t.Text)
	}
}

// programsDigest names the programs of all controllers together: a trial holds for them, whatever else of the house has
// changed since.
func programsDigest(c *behaviour.Compiled) string {
	sum := sha256.New()
	for _, p := range c.Programs {
		d := p.Digest()
		fmt.Fprintf(sum, "%s %x\n", p.Controller, d)
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// journal appends what controllers tell to the job, in batches, since it is called from the link's one goroutine.
type journal struct {
	ctx   context.Context
	store *store.Store
	now   func() time.Time

	mu      sync.Mutex
	waiting []store.Record
	err     error
}

// batch is how many records are appended at once.
const batch = 256

// Happened implements site.Journal.
func (b *journal) Happened(controller string, e wire.Entry) {
	payload, err := json.Marshal(e)
	b.mu.Lock()
	b.err = errors.Join(b.err, err)
	b.waiting = append(b.waiting, store.Record{When: b.now(), What: e.What, Kind: "module", ID: house.ID(controller), Payload: payload})
	full := len(b.waiting) >= batch
	b.mu.Unlock()
	if full {
		b.flush()
	}
}

// flush appends what waits; an error is kept for whoever closes the visit.
func (b *journal) flush() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.waiting) == 0 {
		return
	}
	_, err := b.store.Append(context.WithoutCancel(b.ctx), b.waiting...)
	b.err, b.waiting = errors.Join(b.err, err), nil
}

// ErrOnlyVirtual says what commission can do today.
var ErrOnlyVirtual = &Error{Kind: Refused, Err: errors.New("modules on a real site are not driven yet"), Hint: "use --virtual to commission against software modules"}

// VirtualModule is the body of a software module's process; it returns the exit code.
func VirtualModule(in io.Reader, out, fault io.Writer) int { return virtual.Main(in, out, fault) }
