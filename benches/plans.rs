//! Whole judgements of plans, against the floor of merely building and walking a graph of that size.

use divan::{Bencher, black_box};
use petgraph::graph::UnGraph;
use petgraph::visit::Dfs;
use spanwright::budget::{Settings, assess};
use spanwright::plant::Plant;
use spanwright::read::plan::from_text;

fn main() {
    divan::main();
}

/// PONs of 32 ends, all alike but for their names.
fn text(pons: u32) -> String {
    let ends = pons * 32;
    format!(
        "spanwright: 1
defaults: {{connector: {{grade: C, polish: APC}}, reel: 4 km}}
shelves:
  olt: {{ports: {{\"[1-{pons}]\": {{optic: GPON-OLT-B+}}}}}}
splitters:
  \"s-[1-{pons}]\": {{ratio: 1x32}}
onts:
  \"h-[1-{ends}]\": {{optic: GPON-ONU-B+}}
spans:
  - {{from: \"olt/[1-{pons}]\", to: \"s-[1-{pons}]/in\", length: 7.4 km}}
  - {{from: \"s-[1-{pons}]/[1-32]\", to: \"h-[1-{ends}]\", length: 120 m, kind: drop}}
"
    )
}

const PONS: [u32; 3] = [1, 100, 3_000];

#[divan::bench(args = PONS)]
fn read(bencher: Bencher<'_, '_>, pons: u32) {
    let text = text(pons);
    bencher.bench(|| black_box(from_text("plan.yaml", &text, None).plan.spans.len()));
}

#[divan::bench(args = PONS)]
fn judge_worst_case(bencher: Bencher<'_, '_>, pons: u32) {
    judge(bencher, pons, false);
}

#[divan::bench(args = PONS)]
fn judge_with_statistics(bencher: Bencher<'_, '_>, pons: u32) {
    judge(bencher, pons, true);
}

fn judge(bencher: Bencher<'_, '_>, pons: u32, statistics: bool) {
    let reading = from_text("plan.yaml", &text(pons), None);
    assert!(reading.findings.is_empty());
    let settings = Settings { statistics, cross_check: None };
    bencher.bench(|| {
        let (plant, _) = Plant::build(&reading.plan);
        black_box(assess(&reading.plan, &plant, &reading.tables, settings).ends.len())
    });
}

/// The peer: a bare graph of as many nodes and edges, built and walked once.
#[divan::bench(args = PONS)]
fn bare_graph(bencher: Bencher<'_, '_>, pons: u32) {
    bencher.bench(|| {
        let mut graph: UnGraph<u32, f32> = UnGraph::new_undirected();
        let mut walked = 0;
        for _ in 0..pons {
            let olt = graph.add_node(0);
            let input = graph.add_node(1);
            graph.add_edge(olt, input, 1.0);
            for _ in 0..32 {
                let (leg, home) = (graph.add_node(2), graph.add_node(3));
                graph.add_edge(input, leg, 2.0);
                graph.add_edge(leg, home, 3.0);
            }
            let mut walk = Dfs::new(&graph, olt);
            while walk.next(&graph).is_some() {
                walked += 1;
            }
        }
        black_box(walked)
    });
}
