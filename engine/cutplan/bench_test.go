package cutplan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkWorkroomJobs plans twenty jobs one after the other.
func BenchmarkWorkroomJobs(b *testing.B) {
	for _, work := range []int64{200_000, 5_000_000} {
		b.Run(fmt.Sprint(work), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				for seed := range 20 {
					Best(context.Background(), workroomJob(rand.New(rand.NewPCG(uint64(seed), 2))), Budget{Work: work})
				}
			}
		})
	}
}
