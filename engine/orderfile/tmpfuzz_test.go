package orderfile
import ("testing";"time";"os";"path/filepath")
func FuzzTmp(f *testing.F){
 fs,_:=filepath.Glob("../../testdata/*/*.yaml")
 for _,n:=range fs{b,_:=os.ReadFile(n);f.Add(b)}
 f.Fuzz(func(t *testing.T,b []byte){
  tm:=time.AfterFunc(1*time.Second,func(){os.WriteFile("/tmp/slow.bin",b,0o644);panic("slow")})
  Parse(b)
  tm.Stop()
 })
}
