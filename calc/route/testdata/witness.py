# Finds cheapest ways with networkx in a graph that package route exported, for its tests.
import sys
import networkx as nx

graph, begin, end = nx.DiGraph(), {}, {}
for line in sys.stdin:
    word, *rest = line.split()
    n = [int(x) for x in rest]
    if word == "way":
        a, b, cost = n[0], n[1], n[2]
        if not graph.has_edge(a, b) or cost < graph[a][b]["weight"]:
            graph.add_edge(a, b, weight=cost)
    elif word == "terminal":
        begin[n[0]], end[n[0]] = n[1], n[2]
    elif n[0] in begin:
        found = nx.single_source_dijkstra_path_length(graph, begin[n[0]])
        for k, node in end.items():
            if node in found:
                print(n[0], k, found[node])
