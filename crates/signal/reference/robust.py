def make(folder):
    pass
