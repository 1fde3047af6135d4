package paper

func init() { keepsLog = true }
