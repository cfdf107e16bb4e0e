package mesh

import "io"

// What a file may unpack to: budgetTimes its own size and budgetBytes more.
// Deflate reaches 1032:1, but on models that people print seldom more than
// 30:1 (ASCII STL of plain shapes); what goes beyond fills memory and nothing
// else. The constant lets tiny files of a few repeated parts through.
const (
	budgetTimes = 100
	budgetBytes = 64 << 20
)

// triangleBytes is what a triangle takes in a Soup.
const triangleBytes = 36

// budget bounds what one file unpacks to, all its entries together.
type budget struct {
	limit, left int64
}

// newBudget is the budget of a file of a size in bytes.
func newBudget(size int64) *budget {
	const most = 1 << 62
	n := int64(most)
	if size < (most-budgetBytes)/budgetTimes {
		n = budgetTimes*size + budgetBytes
	}
	return &budget{limit: n, left: n}
}

func (b *budget) exceeded() *FormatError {
	return formatErrorf(KindLimit, "it unpacks to more than %d MiB, %d times its size and more; if that is no trick, unpack it yourself or export the model as STL", b.limit>>20, budgetTimes)
}

// reader charges what is read from r to the budget.
func (b *budget) reader(r io.Reader) io.Reader { return &charged{r: r, b: b} }

type charged struct {
	r io.Reader
	b *budget
}

func (c *charged) Read(p []byte) (int, error) {
	if c.b.left < 0 {
		return 0, c.b.exceeded()
	}
	// One byte beyond tells an end at the limit from one past it.
	n, err := c.r.Read(p[:min(int64(len(p)), c.b.left+1)])
	c.b.left -= int64(n)
	if c.b.left < 0 {
		return 0, c.b.exceeded()
	}
	return n, err
}
